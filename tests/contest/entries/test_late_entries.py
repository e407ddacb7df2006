"""Late entries: marked, asked why, or refused, by the contest's rule."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from contest.changes.exceptions import NotPossible
from contest.entries.entry_list import load_entries, plan_ahead
from contest.entries.people import NotThis, add_contestant
from contest.entries.plan import Layout, Values
from contest.models import Contest
from contest.setup.contests import change_facts, copy_contest
from contest.setup.outline import change
from contest.uploads.spreadsheets import Line
from tests.factories import a_contest
from tests.pages import body, on_one_line

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]
WALK_UP = Values(number=201, division="SR", team="", first_name="Wren", last_name="Ashdown")
AN_HOUR = timedelta(hours=1)


def ruled(rule, late_after):
    return change_facts(a_contest(), "Sue", late_after=late_after, late_entries=rule)


@pytest.mark.parametrize(("after", "late"), [(-AN_HOUR, True), (AN_HOUR, False), (None, False)])
def test_whoever_is_entered_from_the_time_on_is_late(after, late):
    contest = ruled("accept", after and timezone.now() + after)
    assert add_contestant(contest, WALK_UP, "Sue").late is late


def test_the_rule_may_ask_why_and_it_stays_with_the_entry(superintendent):
    contest = ruled("note", timezone.now() - AN_HOUR)
    with pytest.raises(NotThis, match="say why they are entered late"):
        add_contestant(contest, WALK_UP, "Sue")
    at = reverse("entries-add", args=[contest.pk])
    assert "Why they are entered late" in body(superintendent.get(at))
    typed = {"number": 201, "first_name": "Wren", "last_name": "Ashdown", "division": contest.divisions.get().pk}
    typed |= {"submission": str(uuid4())}
    assert "Say why they are entered late" in body(superintendent.post(at, typed), 422)
    typed |= {"late_note": "the bus broke down", "submission": str(uuid4())}
    entered = superintendent.post(at, typed)
    page = on_one_line(body(superintendent.get(entered.headers["Location"])))
    assert '<span class="state">entered late</span> <bdi>the bus broke down</bdi>' in page


def test_the_rule_may_refuse_them_one_by_one_and_in_a_list():
    contest = ruled("refuse", timezone.now() - AN_HOUR)
    with pytest.raises(NotPossible, match="late ones are refused"):
        add_contestant(contest, WALK_UP, "Sue")
    lines, layout = [Line(1, ("201", "Ashdown"))], Layout(None, ("number", "last_name"), division="SR")
    made = plan_ahead(contest, lines, layout)
    with pytest.raises(NotPossible, match="late ones are refused"):
        load_entries(contest, lines, layout, "Sue", made.digest, made)
    assert contest.contestants.count() == 3


def test_the_set_up_says_from_when(superintendent):
    contest = ruled("note", timezone.localtime().replace(hour=9, minute=5))
    page = body(superintendent.get(reverse("setup_facts", args=[contest.pk])))
    assert 'T09:05"' in page


def test_a_copy_keeps_what_no_book_holds():
    contest = a_contest()
    change(contest.classes.get(), "Sue", minutes=15, handling="forbidden")
    change(contest.divisions.get(), "Sue", alternates_compete=False)
    copy = copy_contest(Contest.objects.get(pk=contest.pk), "Next year", None, "Sue")
    assert copy.classes.values_list("minutes", "handling").get() == (15, "forbidden")
    assert not copy.divisions.get().alternates_compete
