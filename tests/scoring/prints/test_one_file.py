"""A long document is made part by part, and nobody can tell from its file."""

from dataclasses import replace
from functools import cache

import pytest
from pdfminer.pdftypes import resolve1

from scoring.prints import rendering
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.rendering import html_of, render_pdf
from tests.scoring.prints.papers import Pdf, a_part, demo, pdf

LONG = ("packets", "award-sheets")


@cache
def in_parts(document, choice, pages=None):
    """A document of the demo, made in parts but once for all that is asked of it."""
    page, expected, _ = html_of(DOCUMENTS[document], demo(), choice)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rendering, "PART", len(page) // 6)
        assert len(rendering._in_parts(page)) > 1
        return Pdf(render_pdf(page, choice.copies, pages=expected if pages is None else pages))


@pytest.mark.parametrize("document", LONG)
def test_it_reads_as_though_it_had_been_made_at_once(document):
    choice = a_part(demo(), document)
    made, whole = in_parts(document, choice), pdf(demo(), document, choice)
    assert made.texts == whole.texts
    assert (made.title, made.about, made.catalogue["Lang"]) == (whole.title, whole.about, whole.catalogue["Lang"])
    assert made.fonts_left_out() == []


def test_a_wrong_estimate_of_its_pages_is_put_right():
    choice = a_part(demo(), "packets")
    made = in_parts("packets", choice, pages=3)
    assert made.texts == pdf(demo(), "packets", choice).texts
    assert f"Page 1 of {len(made.pages)}" in made.text


def test_copies_are_whole_sets_here_too():
    one = a_part(demo(), "award-sheets")
    made = in_parts("award-sheets", replace(one, copies=2))
    assert made.texts == pdf(demo(), "award-sheets", one).texts * 2
    assert len(tagged(made)) == len(made.pages)


@pytest.mark.parametrize("document", LONG)
def test_its_tags_hold_together(document):
    choice = a_part(demo(), document)
    assert tagged(in_parts(document, choice)) == tagged(pdf(demo(), document, choice))


def test_its_bookmarks_lead_through_the_whole():
    choice = a_part(demo(), "packets")
    made, whole = in_parts("packets", choice), pdf(demo(), "packets", choice)
    assert bookmarks(made) == bookmarks(whole)
    assert len(bookmarks(made)) > 5


def tagged(made):
    """Of each page, how many pieces have a tag, and how many of these tags are in the one tree: heads and feet are not.

    Every piece of every page must belong to one tag of this page.
    """
    tree = resolve1(made.catalogue["StructTreeRoot"])
    (root,) = (resolve1(kid) for kid in tree["K"])
    assert str(root["S"]) == "/'Document'"
    under = tags_under(tree["K"])
    by_page = resolve1(resolve1(tree["ParentTree"])["Nums"])
    pages = [page.page_obj.attrs for page in made.pages]
    ids = [page.page_obj.pageid for page in made.pages]
    assert [page["StructParents"] for page in pages] == by_page[::2] == list(range(len(pages)))
    assert resolve1(made.catalogue["Pages"])["Count"] == len(pages)
    counts = []
    for page, of_page in zip(ids, by_page[1::2], strict=True):
        tags = resolve1(of_page)
        for piece, reference in enumerate(tags):
            tag = resolve1(reference)
            assert tag["Pg"].objid == page
            assert piece in tag["K"]
        counts.append((len(tags), sum(reference.objid in under for reference in tags)))
    assert all(within for _, within in counts)
    return counts


def tags_under(kids):
    found, left = set(), list(kids)
    while left:
        kid = left.pop()
        if not isinstance(kid, int):
            assert kid.objid not in found
            found.add(kid.objid)
            for child in resolve1(kid)["K"]:
                assert isinstance(child, int) or resolve1(child)["P"].objid == kid.objid
                left.append(child)
    return found


def bookmarks(made):
    """Titles and pages, in their order, each as deep as it lies."""
    pages = {page.page_obj.pageid: number for number, page in enumerate(made.pages, start=1)}

    def below(item, depth):
        before = None
        while item is not None:
            mark = resolve1(item)
            assert ("Prev" in mark) == (before is not None)
            yield depth, mark["Title"], pages[mark["Dest"][0].objid]
            if "First" in mark:
                yield from below(mark["First"], depth + 1)
            before, item = item, mark.get("Next")

    return list(below(resolve1(made.catalogue["Outlines"])["First"], 0))
