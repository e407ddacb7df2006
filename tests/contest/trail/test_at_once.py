"""Two changes at the same moment: each follows the other in the chain, and neither is lost.

The control, on PostgreSQL, shows that without the lock both would follow the same entry.
"""

import threading
from contextlib import suppress

import pytest
from django.db import connection

from contest.models import Contest, TrailEntry
from contest.trail import note, record_change, recording
from contest.trail.proving import prove
from contest.trail.sentences import Sentence
from tests.factories import a_contest

MANY = 15


@pytest.fixture
def contest(transactional_db):
    return a_contest()


def at_once(*works):
    """Do the works in threads of their own; gives what went wrong."""
    problems = []

    def working(work):
        try:
            work()
        except Exception as problem:
            problems.append(problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=working, args=(work,)) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return problems


def changing(contest, by):
    def work():
        for number in range(MANY):
            record_change(
                Contest.objects.get(pk=contest.pk), by, Sentence(f"change {number}"), after={"person": f"{number}"}
            )

    return work


def test_changes_of_a_contest_and_of_the_site_at_once_all_follow_each_other(contest):
    def noting():
        for number in range(MANY):
            note("Ann", Sentence("print ordered"), contest, after={"person": f"{number}"})

    assert at_once(changing(contest, "Ann"), changing(contest, "Ben"), noting) == []
    assert contest.trail.count() == 1 + 2 * MANY
    assert TrailEntry.objects.filter(contest=None).count() == MANY
    assert prove(Contest.objects.get()).problems == prove(None).problems == ()


@pytest.mark.postgresql
def test_control_without_the_lock_one_of_them_finds_the_chain_grown(contest, monkeypatch):
    meeting = threading.Barrier(2)
    append = recording._append_with_rows

    def delayed(*args):
        with suppress(threading.BrokenBarrierError):
            meeting.wait(timeout=1)
        return append(*args)

    monkeypatch.setattr(recording, "_append_with_rows", delayed)
    monkeypatch.setattr(Contest.every.__class__, "select_for_update", lambda self: self.get_queryset(), raising=False)
    one, other = (
        lambda by=by: record_change(Contest.objects.get(pk=contest.pk), by, Sentence("change")) for by in ("Ann", "Ben")
    )
    problems = at_once(one, other)
    assert [type(problem) for problem in problems] == [AssertionError]
    assert prove(Contest.objects.get()).problems == ()
