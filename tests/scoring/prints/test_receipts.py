"""Receipts for protests: blank, or of those that were noted."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.material import Protest
from scoring.prints.rendering import html_of
from scoring.results.protests import decide_protest, note_protest, take_protests
from tests.pages import on_one_line
from tests.scoring.prints.papers import LONG, demo, pdf
from tests.scoring.results.cast import ready, release

RECEIPTS = DOCUMENTS["protest-receipts"]


def test_a_long_protest_and_a_short_one_have_a_receipt_each():
    at = datetime(2026, 4, 25, 15, 4)
    protests = (Protest(LONG, f"{LONG}.\n" * 60, at), Protest("Ann Bell", "Class 3.", at, "It stands.", at))
    for paper in ("a4", "letter"):
        made = pdf(replace(demo(), protests=protests), "protest-receipts", Choice(order="noted", paper=paper))
        assert made.outside() == [] and made.overlapping() == []
        first = ["Receipt for protest" in text for text in made.texts]
        assert sum(first) == 2
        assert first[-1]
        assert made.text.count(LONG.split()[0]) >= 61
        for text in made.texts:
            assert "Revision 7, as of April 25, 2026, 14:03:22" in text


@pytest.mark.django_db
def test_it_holds_what_was_noted_and_decided_and_the_blank_one_nothing_of_it():
    contest = ready()
    release(contest)
    take_protests(contest, "Sue", timezone.now() + timedelta(hours=1), "In writing, at the <table>.")
    note_protest(contest, "Sue", "Coach Marrow", "The card of 102 in class 1 says 3124.")
    decide_protest(note_protest(contest, "Sue", "Coach Birch", "Our set was short."), "Sue", "The score stands.")

    def printed(order):
        material = gather_material(contest.pk, RECEIPTS)
        return on_one_line(html_of(RECEIPTS, material, Choice(order=order))[0])

    noted, blank = printed("noted"), printed("blank")
    said = ("Coach Marrow", "The card of 102 in class 1 says 3124.", "Coach Birch", "The score stands.")
    assert all(words in noted for words in said)
    assert noted.count("<h1") == 2
    assert "Receipt for protest 2 of 2" in noted
    assert not any(words in blank for words in said)
    assert blank.count("<h1") == 1
    for page in (noted, blank):
        assert "The local rules come first:" in page
        assert "In writing, at the &lt;table&gt;." in page
        assert "Who protests" not in page[page.index("<main") : page.index("The local rules come first:")]
        assert "Who protests" in page[page.index("The local rules come first:") :]


def test_without_a_protest_there_is_nothing_to_fill_in():
    assert "No protest was noted." in html_of(RECEIPTS, demo(), Choice(order="noted"))[0]
