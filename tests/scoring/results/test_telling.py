"""What a family is told of each class: both placings of a lost pair, the official's note, and what most did."""

import pytest
from django.test import Client

from contest.book.pair_notes import Note
from contest.pair_notes import fingerprint
from reasons.day.class_notes import write_notes
from scoring.models import TakeHomeLink
from scoring.results.links import make_links
from scoring.results.publishing import publish
from tests.pages import html_in
from tests.scoring.results.cast import change_key, ready, release, the_class

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]

NOTED = "more muscle from end to end"


def noted_contest():
    """102 has 1 over 3 in class 1, whose official is 3124; the official noted something on that pair."""
    contest = ready()
    notes = [
        Note(NOTED, "1 is taller", ""),
        Note(),
        Note(
            "on the move",
        ),
    ]
    write_notes(the_class(contest), notes, "Bee", fingerprint([Note()] * 3))
    return contest


def home(contest, number=102):
    if not TakeHomeLink.objects.filter(contest=contest).exists():
        make_links(contest, "Sue")
    link = TakeHomeLink.objects.get(contest=contest, contestant__number=number)
    return html_in(Client().get(f"/home/{link.token}/"))


def test_a_family_is_told_both_placings_the_officials_note_and_what_most_did(tmp_path):
    contest = noted_contest()
    release(contest)
    page = home(contest)
    assert "you had 1 over 3, official 3 over 1: −3" in page
    assert f"{NOTED}; grants 1 is taller" in page
    assert "2 of 4 in the division had 3 over 1." in page
    assert "on the move" not in page  # a pair that 102 had right
    assert "Most often 4213, on 2 of 4 cards." in page  # in class 2
    contest.refresh_from_db()
    publish(contest, tmp_path / "copy")
    assert any(NOTED in file.read_text() for file in (tmp_path / "copy").rglob("home/*/index.html"))


def test_nothing_of_it_is_told_before_the_release_nor_of_another_key(superintendent):
    contest = noted_contest()
    for address in (f"/public/{contest.pk}/classes/1/", f"/results/{contest.pk}/"):
        page = html_in(Client().get(address))
        assert NOTED not in page
        assert "Most often" not in page
    release(contest)
    change_key(contest)
    assert NOTED not in home(contest)  # what was announced is another placing than the notes are on now


def test_a_class_page_starts_with_what_most_people_did(superintendent):
    contest = noted_contest()
    page = html_in(superintendent.get(f"/contests/{contest.pk}/classes/2/"))
    assert page.index("Most often 4213, on 2 of 4 cards.") < page.index('id="cards"')
    release(contest)
    page = html_in(Client().get(f"/public/{contest.pk}/classes/2/"))
    assert page.index("Most often 4213, on 2 of 4 cards.") < page.index("What each placing scores")
