"""Two who change the same entry at the same moment."""

import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

import pytest
from django.db import connection

from contest.changes.exceptions import NotPossible
from contest.entries import arrivals, people
from tests.contest.entries.cast import contestant, two_divisions

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def both_at_once(monkeypatch, work):
    """Run `work` twice, each after the other has looked, if it can; what each came to."""
    met = threading.Barrier(2)
    has_looked = people.fresh

    def look(found):
        found = has_looked(found)
        with suppress(threading.BrokenBarrierError):  # the other one is not let in before we are done, as is wanted
            met.wait(timeout=1)
        return found

    monkeypatch.setattr(arrivals, "fresh", look)

    def one(_):
        try:
            return work()
        except NotPossible as reason:
            return str(reason)
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(one, range(2)))


def test_one_arrival_is_noted_once(monkeypatch):
    contest = two_divisions()
    person = contestant(contest, 101)
    outcomes = both_at_once(monkeypatch, lambda: arrivals.check_in(person, "Ann"))
    assert sum("is in already" in str(outcome) for outcome in outcomes) == 1
    assert contest.trail.filter(what="contestant_arrived").count() == 1


def test_without_taking_turns_it_would_be_noted_twice(monkeypatch):
    contest = two_divisions()
    person = contestant(contest, 101)
    monkeypatch.setattr(people, "take_turn", lambda _contest: None)
    outcomes = both_at_once(monkeypatch, lambda: arrivals.check_in(person, "Ann"))
    assert [str(outcome) for outcome in outcomes] == ["101", "101"]
    assert contest.trail.filter(what="contestant_arrived").count() == 2
