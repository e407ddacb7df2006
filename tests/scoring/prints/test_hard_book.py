"""Every document of a contest in which all is hard on paper, on both papers: what it looks like, and what is found by
whoever cannot see it."""

import re
from dataclasses import replace

import pypdfium2
import pytest

from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from tests.scoring.prints.papers import ALIKE, ALONE, awkward, html, pdf
from tests.scoring.prints.tags import Tag, problems, tag_tree, unread

CUT = ("cut", "labels")
RIGHT_TO_LEFT = re.compile("[\u0590-\u06ff]+")


def chosen(document: str, paper: str) -> Choice:
    """Enough of a document to see every kind of page of it, with those who are level and the one who is alone."""
    asks = DOCUMENTS[document].asks
    lists = [f"{s.division}/{s.code}" for s in awkward().result.standings if s.division in ("SR", "ONE")]
    return Choice(
        paper=paper,
        numbers=(102, *ALIKE, ALONE) if "numbers" in asks and "lists" not in asks else (),
        lists=(lists[0], lists[-1], "SR/overall", "SR/reasons") if "lists" in asks else (),
        classes=(1, 3, 8) if "classes" in asks else (),
    )


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("document", DOCUMENTS)
def test_it_stands_on_its_pages_and_is_read_as_it_stands(document, paper):
    choice = chosen(document, paper)
    page, made = html(awkward(), document, choice), pdf(awkward(), document, choice)
    assert made.outside() == []
    assert made.overlapping() == []
    styles = DOCUMENTS[document].styles
    if paper == "letter" and document != "ribbon-labels":
        assert {(round(sheet.width), round(sheet.height)) for sheet in made.pages} <= {(612, 792), (792, 612)}
    if paper == "a4" and not set(CUT) & set(styles):
        assert made.inked_edges() == []
    tree = tag_tree(made)
    assert problems(tree) == []
    assert unread(page, tree) == []
    assert list(tree.every("H1")) or set(CUT) & set(styles)
    with pypdfium2.PdfDocument(made.data) as document_:
        by_place = "\n".join(sheet.get_textpage().get_text_range() for sheet in document_)
    body = re.sub("<[^>]*>", "\n", page[page.index("<body") :])
    for word in set(RIGHT_TO_LEFT.findall(body)):
        assert by_place.count(word) >= len(re.findall(rf"(?<![\u0590-\u06ff]){word}(?![\u0590-\u06ff])", body))


def test_it_would_be_told_of_each_thing_that_is_wrong():
    head = Tag("TH", id=b"1", inside=["Head"])
    cell = Tag("TD", headers=(b"1",), inside=["5"])
    row = Tag("TR", inside=[cell])
    right = Tag("Document", inside=[Tag("H1", inside=["Title"]), Tag("Table", inside=[Tag("TR", inside=[head]), row])])
    assert problems(right) == []
    wrong = (
        Tag("H3", inside=["Deep"]),
        Tag("H1"),
        Tag("Table", inside=[row]),
        Tag("Table", inside=[Tag("TR", inside=[Tag("TH", id=b"1")]), row]),
        Tag("Table", inside=[Tag("TR", inside=[head, head]), row]),
        Tag("Table", inside=[Tag("TR", inside=[head]), Tag("TR", inside=[replace(cell, headers=())])]),
        Tag("L", inside=[Tag("P")]),
        Tag("L", inside=[Tag("LI")]),
        Tag("Figure"),
    )
    for tag in wrong:
        assert problems(Tag("Document", inside=[tag])) != [], tag
    body = "<html><body><p>One <b>two</b></p><p>three</p></body></html>"
    assert unread(body, Tag("Document", inside=["Onetwothree"])) == []
    assert unread(body, Tag("Document", inside=["Onethreetwo"])) == ["three"]
