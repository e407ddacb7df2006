"""Cards are put together of pieces that are laid out once, and nobody can tell from the file."""

from dataclasses import replace

import pytest
from pdfminer.pdftypes import resolve1

from scoring.prints import imposing, rendering
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import choice_from
from scoring.prints.rendering import NEW_PAGE, html_of, render_pdf
from tests.scoring.prints.papers import Pdf, demo, material_of
from tests.scoring.prints.test_one_file import tagged

CARDS = DOCUMENTS["placing-cards"]


def nameless():
    """The demo with a class of no name and of a long one, and somebody in no group."""
    record = demo().record
    first, second, *others = record.classes
    classes = (replace(first, name=""), replace(second, name="Breeding ewes " * 12), *others)
    someone, *people = record.contestants
    people = (someone._replace(group="", number=1234567890), *people)
    return material_of(replace(record, classes=classes, contestants=tuple(people), cards=(), reasons=(), marks=()))


def choice(material, count=5, **more):
    return choice_from({"numbers": [person.number for person in material.record.contestants[:count]]} | more)


def plain(monkeypatch, html):
    with monkeypatch.context() as patch:
        patch.setattr(imposing, "impositions", lambda head, sheets: [])
        return Pdf(render_pdf(html))


def drawn(made):
    """What lies where on each page: letters with their sizes, and what is drawn besides."""

    def letters(page):
        return sorted((char["text"], *map(round, (char["x0"], char["top"], 10 * char["size"]))) for char in page.chars)

    def areas(page):
        return sorted({tuple(round(area[side]) for side in ("x0", "x1", "top", "bottom")) for area in page.rects})

    return [(letters(page), areas(page)) for page in made.pages]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("material", [demo, nameless])
def test_cards_are_as_though_each_had_been_laid_out(monkeypatch, material, paper):
    html, *_ = html_of(CARDS, material(), choice(material(), paper=paper))
    made, whole = Pdf(render_pdf(html)), plain(monkeypatch, html)
    assert drawn(made) == drawn(whole)
    assert made.texts == whole.texts
    assert tagged(made) == tagged(whole)
    assert shape(made) == shape(whole)
    assert (made.title, made.about, made.catalogue["Lang"]) == (whole.title, whole.about, whole.catalogue["Lang"])
    assert made.fonts_left_out() == []


def test_some_sheets_after_others_are_the_same(monkeypatch):
    html, *_ = html_of(CARDS, demo(), choice(demo(), count=3))
    at_once = Pdf(render_pdf(html, copies=2))
    monkeypatch.setattr(imposing, "AT_ONCE", 3)
    some = Pdf(render_pdf(html, copies=2))
    assert len(some.pages) > 6
    assert drawn(some) == drawn(at_once)
    assert tagged(some) == tagged(at_once)


def test_each_different_piece_is_laid_out_once():
    html, *_ = html_of(CARDS, demo(), choice(demo(), count=12))
    head, *sheets = html.split(NEW_PAGE)
    (made,) = imposing.impositions(head, sheets)
    cards = html.count("<article")
    numbers = 12
    faces = made.html.count('<ol class="boxes')
    assert faces < cards / 2
    assert made.html.count("<article") == 4 + faces + numbers + cards


def test_sheets_that_name_nothing_as_a_pieces_own_are_laid_out_as_they_are():
    html, *_ = html_of(DOCUMENTS["numbers"], demo(), choice(demo()))
    head, *sheets = html.split(NEW_PAGE)
    assert sheets
    assert imposing.impositions(head, sheets) == []


def test_a_job_hears_of_the_sheets_that_are_made(monkeypatch):
    monkeypatch.setattr(imposing, "AT_ONCE", 4)
    html, pages, _ = html_of(CARDS, demo(), choice(demo()))
    heard = []
    rendering.render_pdf(html, progress=lambda page, of: heard.append((page, of)))
    assert heard == [(4, 0), (8, 0), (pages, pages)]


def shape(made):
    """The tags by their kinds; WeasyPrint also tags the marks to cut along, which say nothing."""

    def below(kid):
        if isinstance(kid, int):
            return "text"
        tag = resolve1(kid)
        kids = [below(one) for one in tag["K"]]
        return tag["S"].name, [one for one in kids if one != ("Span", [])]

    (root,) = resolve1(made.catalogue["StructTreeRoot"])["K"]
    return below(root)
