"""Writing a record into the database, as a new contest: whole, or in pieces that nobody sees until the last."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from django.utils import timezone

from contest.changes import changes, one_change
from contest.changes.desks_first import let_desks_go_first
from contest.changes.inserting import insertion
from contest.changes.lasting import lasting_with_the_next, put_away
from contest.models import Contest
from contest.records.fields import shared_values
from contest.records.rows import Saving
from contest.records.sweeping import being_loaded, sweep
from contest.row_changes.stamping import unrecorded
from contest.trail import record_change, sentence
from scoring.core.record import Record, Rules
from scoring.core.texts import gettext

BATCH = 1000
"""Rows a statement: enough to be fast, few enough for a statement's limit on variables."""

HOLD = 0.002
"""Seconds that one piece is to take: a reading that comes meanwhile waits so long."""
REST = 6
"""Times as long, for everybody else."""
FEWEST, MOST = 20, 500
"""Rows in a piece."""
PIECES_TO_PUT_AWAY = 10
"""After so many, they are put from the log into the database's file."""

OnProgress = Callable[[int, int], None]
"""Told how many rows are saved, of how many. What it raises ends the loading, and nothing of it stays."""


class NoLongerThere(Exception):
    """Raised where what was loaded so far is gone: somebody else took it for abandoned."""

    def __str__(self) -> str:
        return gettext("loading it stood still for so long that what was there was taken away")


@changes
def save_record(record: Record, by: str) -> Contest:
    """Make a new contest of a record, in one transaction; `by` says who, for the trail.

    For what is small, and where nobody waits: `save_in_pieces` is for the rest.
    """
    contest = _empty(record.rules)
    with unrecorded():  # there was no contest before
        Saving(contest, record, by, _Whole()).save()
    _write_down(contest, record, by)
    return contest


def save_in_pieces(record: Record, by: str, on_progress: OnProgress = lambda done, of: None) -> Contest:
    """Make a new contest of a record while others go on reading cards: `save_hidden`, then `show_saved`."""
    return show_saved(save_hidden(record, by, on_progress), record, by)


def save_hidden(record: Record, by: str, on_progress: OnProgress = lambda done, of: None) -> Contest:
    """Save all of a new contest in short pieces, each a transaction of its own. Nobody sees it yet.

    Whatever ends this before its end, what was saved is swept away, at once or, after a crash, by the next to come.
    """
    with one_change(), unrecorded():
        contest = _empty(record.rules, loading_at=timezone.now())
    with being_loaded(contest.pk), lasting_with_the_next():
        try:
            Saving(contest, record, by, _InPieces(contest, _rows_of(record), on_progress)).save()
        except BaseException:
            sweep(contest.pk)
            raise
    return contest


@changes
def show_saved(contest: Contest, record: Record, by: str) -> Contest:
    """Let everybody see a contest that is loaded whole. Raises NoLongerThere."""
    if not Contest.every.filter(pk=contest.pk).exclude(loading_at=None).update(loading_at=None):
        raise NoLongerThere
    contest.refresh_from_db()
    _write_down(contest, record, by)
    return contest


class _Whole:
    size = BATCH

    def write(self, rows: list[Any]) -> None:
        insertion(rows)()


class _InPieces:
    """Writes a piece in the turn of one short change, then leaves the turn to others; how many rows that is, the
    machine of the day decides."""

    def __init__(self, contest: Contest, of: int, on_progress: OnProgress) -> None:
        self.size = FEWEST
        self._contest = contest
        self._pieces = self._done = 0
        self._of = of
        self._on_progress = on_progress

    def write(self, rows: list[Any]) -> None:
        insert = insertion(rows)
        let_desks_go_first()
        with one_change(), unrecorded():
            began = time.monotonic()
            if not Contest.every.filter(pk=self._contest.pk, loading_at__isnull=False).update(
                loading_at=timezone.now()
            ):
                raise NoLongerThere
            insert()
            took = time.monotonic() - began  # without the commit, which is as long for one row
        self.size = max(FEWEST, min(MOST, int(len(rows) * min(2, HOLD / took))))
        self._pieces += 1
        if self._pieces % PIECES_TO_PUT_AWAY == 0:
            put_away()
        self._done += len(rows)
        self._on_progress(min(self._done, self._of), self._of)
        time.sleep(REST * HOLD)


def _empty(rules: Rules, **more: Any) -> Contest:
    return Contest.every.create(**shared_values(Contest, rules), **more)


def _rows_of(record: Record) -> int:
    """About how many rows a record becomes."""
    readings = len(record.cards) + sum(card.second is not None for card in record.cards)
    return len(record.contestants) + readings + len(record.cards) + 2 * (len(record.reasons) + len(record.marks))


def _write_down(contest: Contest, record: Record, by: str) -> None:
    counts = {
        "name": contest.name,
        "contestants": len(record.contestants),
        "cards": len(record.cards),
        "reasons": len(record.reasons),
        "marks": len(record.marks),
    }
    record_change(contest, by, sentence("book_loaded"), after=counts)
