"""Every document, from a full contest, an empty one and one whose names hardly fit."""

import os
import subprocess
import sys

import pytest
from django.conf import settings

from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from tests.scoring.prints.papers import a_long_part, a_part, awkward, demo, empty, html, large, pdf
from tests.scoring.prints.tags import problems, tag_tree, unread

# Prints the digests of some documents, one of them made part by part.
DIGESTS = """
import django
django.setup()
from hashlib import sha256
from scoring.prints import rendering
from tests.scoring.prints.papers import a_part, awkward, pdf
for document, rendering.PART in (("award-sheets", 4_000), ("results", 500_000)):
    print(sha256(pdf(awkward(), document, a_part(awkward(), document)).data).hexdigest())
"""
CUT = {
    "name-badges",
    *("placing-cards", "large-cards", "spare-cards", "stack-covers"),
    *("numbers", "spare-numbers", "score-slips", "key-forms", "class-signs"),
}
BY_HAND = {"spare-cards", "spare-numbers", "protest-receipts"}  # whoever has nothing yet may want them
TO_THE_EDGE = CUT | {"ribbon-labels"}


@pytest.mark.parametrize("document", DOCUMENTS)
def test_everything_stands_on_the_page_and_is_read_as_it_stands(document):
    choice = a_part(demo(), document)
    made = pdf(demo(), document, choice)
    tree = tag_tree(made)
    assert problems(tree) == []
    assert unread(html(demo(), document, choice), tree) == []
    assert made.outside() == []
    assert made.overlapping() == []
    if document not in TO_THE_EDGE:
        assert made.inked_edges() == []


@pytest.mark.parametrize("document", DOCUMENTS)
def test_a_large_contest_stands_on_its_pages_too(document):
    # Two groups as large as the sixteen of 600: their sheets have a place to tick for each card.
    material = large(75, groups=2) if document == "group-sheets" else large()
    made = pdf(material, document, a_long_part(document))
    assert made.outside() == []
    assert made.overlapping() == []
    if document not in TO_THE_EDGE:
        assert made.inked_edges() == []


@pytest.mark.parametrize("document", DOCUMENTS)
def test_it_is_tagged_titled_and_has_its_fonts(document):
    made = pdf(demo(), document, a_part(demo(), document))
    assert made.title == f"{DOCUMENTS[document].title} – Marrowby Spring Sheep Judging Day"
    assert "pdfuaid:part" in made.about
    assert "StructTreeRoot" in made.catalogue
    assert made.catalogue["MarkInfo"]["Marked"]
    assert made.catalogue["Lang"] == b"en"
    assert made.fonts_left_out() == []


@pytest.mark.parametrize("document", [name for name in DOCUMENTS if name not in BY_HAND])
def test_an_empty_contest_gives_a_page_that_says_so(document):
    made = pdf(empty(), document)
    assert len(made.pages) == 1
    assert any(word in made.text for word in ("no ", "No ", "Nobody", "nobody", "Nothing", "not ")), made.text


@pytest.mark.parametrize("document", ["results", "check-in", "class-reports", "packets", "ribbons", "group-sheets"])
def test_every_page_says_which_contest_state_and_page_it_is(document):
    made = pdf(demo(), document, a_part(demo(), document))
    for number, text in enumerate(made.texts, start=1):
        assert "Marrowby Spring Sheep Judging Day" in text
        assert "Revision 7, as of April 25, 2026, 14:03:22" in text
        assert f"Page {number} of {len(made.pages)}" in text


def test_the_estimate_of_pages_is_near_enough_for_a_bar():
    from scoring.prints.rendering import html_of

    for name in ("results", "award-sheets", "placing-cards", "packets"):
        choice = a_part(demo(), name)
        expected = html_of(DOCUMENTS[name], demo(), choice)[1]
        assert 0.5 <= len(pdf(demo(), name, choice).pages) / expected <= 2


def test_copies_are_whole_sets_one_after_another():
    made = pdf(demo(), "key-forms", Choice(classes=(1, 2, 3), copies=3))
    assert ["Class 1:" in text for text in made.texts] == [True, False] * 3


def test_the_same_state_and_choice_gives_the_same_bytes_in_every_process():
    digests = set()
    for seed in ("1", "2"):
        made = subprocess.run(
            [sys.executable, "-c", DIGESTS],
            cwd=settings.BASE_DIR,
            env=os.environ | {"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        digests.add(made.stdout)
    assert len(digests) == 1
    assert len(digests.pop().split()) == 2


def test_fonts_beyond_latin_come_along_only_where_they_are_needed():
    assert "faces-more" in html(awkward(), "check-in")
    assert "faces-more" not in html(demo(), "class-reports")


def test_nothing_is_fetched_from_elsewhere():
    from weasyprint.urls import FatalURLFetchingError

    from scoring.prints.rendering import render_pdf

    page = '<html lang="en"><title>x</title><img alt="" src="{}"><p>Text</p>'
    for elsewhere in ("http://192.0.2.1/x.png", "file:///etc/hostname", "ftp://192.0.2.1/x"):
        with pytest.raises(FatalURLFetchingError, match="is no file of this document"):
            render_pdf(page.format(elsewhere))
