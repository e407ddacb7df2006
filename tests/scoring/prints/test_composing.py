"""Packets are filled in from cells that are laid out once, and nobody can tell from the file."""

import re
from dataclasses import replace

import pytest

from scoring.prints import composing, rendering
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import choice_from
from scoring.prints.rendering import html_of, render_pdf
from tests.scoring.prints.papers import Pdf, demo, material_of
from tests.scoring.prints.tags import problems, tag_tree
from tests.scoring.prints.test_imposing import drawn, shape
from tests.scoring.prints.test_one_file import bookmarks, tagged

PACKETS = DOCUMENTS["packets"]


def material():
    """A division of the demo's, with somebody alone, and with a class whose name takes so many lines that with many
    pairs lost the page is too short."""
    record = demo().record
    first, *others = record.classes
    alone, *people = record.contestants
    longer = replace(first, name="Breeding ewes " * 40)
    return material_of(replace(record, classes=(longer, *others), contestants=(alone._replace(team=""), *people)))


def few(made_of, people=7, **more):
    """A choice of a few contestants."""
    return choice_from({"numbers": [person.number for person in made_of.record.contestants[:people]], **more})


def both(monkeypatch, html, copies=1):
    """A document filled in, and laid out as it stands."""
    with monkeypatch.context() as patch:
        patch.setattr(composing, "LEAST", 10_000)
        whole = Pdf(render_pdf(html, copies))
    monkeypatch.setattr(composing, "LEAST", 2)
    return Pdf(render_pdf(html, copies)), whole


@pytest.fixture
def filled(monkeypatch):
    """Of every sheet, whether it was filled in."""
    found = []

    made = composing.Composition._made

    def watched(*given):
        sheets = made(*given)
        found.extend(bool(sheet.cells) for sheet in sheets)
        return sheets

    monkeypatch.setattr(composing.Composition, "_made", watched)
    return found


def test_packets_are_as_though_each_page_had_been_laid_out(monkeypatch, filled):
    html, *_ = html_of(PACKETS, material(), few(material(), paper="letter"))
    made, whole = both(monkeypatch, html)
    assert [page.extract_text() for page in made.pages] == [page.extract_text() for page in whole.pages]
    assert drawn(made) == drawn(whole)
    assert tagged(made) == tagged(whole)
    assert shape(made) == shape(whole)
    assert bookmarks(made) == bookmarks(whole)
    assert tag_tree(made).text == tag_tree(whole).text
    assert problems(tag_tree(made)) == []
    assert made.fonts_left_out() == []
    assert any(filled)
    assert not all(filled)
    assert len(made.pages) > len(filled)


def test_a_few_sheets_are_laid_out_as_they_stand(monkeypatch, filled):
    html, *_ = html_of(PACKETS, demo(), few(demo(), people=1))
    head, *sheets = html.split(rendering.NEW_PAGE)
    assert composing.composition(head, sheets, lambda *given: pytest.fail("laid out"), lambda page, of: "") is None
    assert filled == []


def test_each_different_cell_is_laid_out_once_and_every_page_says_which_it_is(monkeypatch):
    html, pages, _ = html_of(PACKETS, demo(), few(demo()))
    monkeypatch.setattr(composing, "LEAST", 2)
    monkeypatch.setattr(composing, "AT_ONCE", 3)
    monkeypatch.setattr(composing, "ROWS", 3)
    laid_out, composition = [], composing.composition

    def watched(head, sheets, lay_out, words):
        return composition(head, sheets, lambda text, *at: laid_out.append(text) or lay_out(text, *at), words)

    monkeypatch.setattr(composing, "composition", watched)
    heard = []
    made = Pdf(render_pdf(html, 1, None, lambda page, of: heard.append((page, of)), pages))
    for number, page in enumerate(made.pages, start=1):
        assert f"Page {number} of {len(made.pages)}" in page.extract_text()
    assert (3, 0) in heard
    assert heard[-1] == (len(made.pages), len(made.pages))
    cells = re.findall(r"<td data-cell.*?</td>", "".join(laid_out), re.DOTALL)
    assert len(set(cells)) == len(cells)
    assert len(cells) < html.count("<td")
