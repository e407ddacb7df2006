"""The sweepstakes of a day on the board of one of its contests: chosen, once everybody may read them, and no longer."""

import pytest
from django.test import Client
from django.urls import reverse

from contest.changes.exceptions import NotPossible
from contest.models import Contest, Event
from scoring.board.choosing import choose, options
from scoring.board.day import DAY, ask_day_anew
from scoring.events.changing import release_event, save_event, withdraw_event
from scoring.results.release import withdraw_results
from tests.factories import RulesFactory
from tests.pages import html_in
from tests.scoring.board.cast import forget_revision
from tests.scoring.results.cast import change_key, correct, ready, release

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]

SUM = "613.06"  # twice 306.53, in no list of either contest


@pytest.fixture
def day():
    """Two contests with the same people, in the second as numbers alone."""
    two = ready(), ready(rules=RulesFactory(name="Dairy Day", show_people_as="number"))
    return save_event(Event(name="County Day"), two, None, "Sue")


def board(event):
    contest = event.contests()[0]
    forget_revision(contest)
    ask_day_anew(contest.pk)
    return html_in(Client().get(reverse("board", args=[contest.pk])))


def wishes(event):
    return [option.wish for option in options(event.contests()[0]) if option.wish.startswith(DAY)]


def released_day(event):
    for contest in event.contests():
        release(contest)
    release_event(event, "Sue")
    event.refresh_from_db()


def test_before_the_release_it_can_neither_be_chosen_nor_seen(day):
    for contest in day.contests():
        release(contest)
    assert wishes(day) == []
    with pytest.raises(NotPossible, match="cannot be shown"):
        choose(day.contests()[0], DAY, "Sue")
    assert SUM not in board(day)
    release_event(day, "Sue")
    assert wishes(day) == ["day", "day/SR/teams", "day/SR/individuals"]
    assert SUM not in board(day)  # not by itself
    choose(day.contests()[0], DAY, "Sue")
    shown = board(day)
    assert SUM in shown
    assert "Sweepstakes" in shown
    assert "Given101x" not in shown  # one of the contests shows people as numbers
    withdraw_event(day, "Sue")
    assert SUM not in board(day)
    assert wishes(day) == []


def test_one_table_stays_alone_and_a_contest_that_is_withdrawn_takes_it_away_at_once(
    day, django_capture_on_commit_callbacks
):
    released_day(day)
    first, second = day.contests()
    choose(first, "day/SR/teams", "Sue")
    shown = board(day)
    assert "Senior, teams" in shown
    assert "Senior, individuals" not in shown
    with pytest.raises(NotPossible, match="cannot be shown"):
        choose(first, "day/XX/teams", "Sue")
    with django_capture_on_commit_callbacks(execute=True):
        withdraw_results(Contest.objects.get(pk=second.pk), "Sue", "a wrong key")
    assert SUM not in html_in(Client().get(reverse("board", args=[first.pk])))  # without the half second


def test_a_correction_of_another_contest_of_the_day_is_on_it_and_said(day):
    released_day(day)
    first, second = day.contests()
    choose(first, DAY, "Sue")
    assert "corrected" not in board(day)
    change_key(second)
    correct(second, "the key was typed wrong")
    shown = board(day)
    assert "Dairy Day: corrected" in shown
    assert "the key was typed wrong" in shown


def test_the_page_that_chooses_offers_it_by_name(day, superintendent):
    released_day(day)
    page = html_in(superintendent.get(reverse("board-choice", args=[day.contests()[0].pk])))
    assert "Sweepstakes of County Day, every table by turns" in page
    assert "Sweepstakes of County Day: Senior, teams" in page
