"""A contest's result from the database, computed once for each revision."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

from contest.changes import take_turn
from contest.changes.locks import MemoryLock
from contest.models import Contest
from contest.records import load_record
from scoring.core.record import Record
from scoring.core.result import Result
from scoring.core.tally import tally

CONTESTS_KEPT = 4
"""Results kept in memory: one live contest and a few that somebody looks back at."""


@dataclass(frozen=True, slots=True)
class Tallied:
    """A contest at one revision: what was scored, and what came of it."""

    revision: int
    record: Record
    result: Result


_kept: OrderedDict[int, Tallied] = OrderedDict()
_lock = MemoryLock()


def tallied(contest: Contest) -> Tallied:
    """The contest's result at the revision that `contest` was loaded with, or a newer one.

    Nothing is stored: a result is known by its revision, so a change of any kind makes a new one. One thread works at
    a time, so that a burst of viewers after a change costs one tally.
    """
    with _lock:
        kept = _kept.get(contest.pk)
        if kept is None or kept.revision < contest.revision:
            revision, record = load_record(contest.pk, (kept.revision, kept.record) if kept else None)
            kept = _kept[contest.pk] = Tallied(revision, record, tally(record))
        _kept.move_to_end(contest.pk)
        while len(_kept) > CONTESTS_KEPT:
            _kept.popitem(last=False)
        return kept


def tallied_exactly(contest: Contest) -> Tallied:
    """The same at the revision that `contest` was loaded with, for a report that reads more of that very snapshot."""
    shown = tallied(contest)
    if shown.revision == contest.revision:
        return shown
    revision, record = load_record(contest.pk)  # somebody else has asked for a newer one meanwhile
    return Tallied(revision, record, tally(record))


def tallied_in_turn(contest: Contest) -> Tallied:
    """The contest as it is now, alone: nothing changes until the transaction ends. Brings `contest` up to date."""
    take_turn(contest.pk)
    contest.refresh_from_db()
    return tallied(contest)


def forget_all() -> None:
    """Drop every kept result: for tests, whose databases start over with the same keys."""
    with _lock:
        _kept.clear()
