"""Changes of one contest that are asked for at the same moment, saved together.

On PostgreSQL whoever changes a contest has its row locked until the disk has it all, and everybody else waits: for the
disk, and for the turn to be handed from one connection to the next. So of those who wait in this process one makes the
changes of all, one after the other in a single transaction, and each is told once that is saved. Where one of them
fails, nothing of any was saved, and each makes its own alone: so nobody fails by another's. On SQLite the turn is this
process's own, and is handed on without a word to anybody.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, TypeVar, cast

from django.db import connection
from django.utils.translation import get_language, override

from contest.changes import one_change
from contest.changes.locks import refuse_under_memory_lock
from contest.changes.snapshot import doing

Outcome = TypeVar("Outcome")


class _Job:
    """One who waits: what is to be done and in which language its words are, what came of it, and what they are to do
    once they are told."""

    def __init__(self, work: Callable[[], Any]) -> None:
        self.work, self.language = work, get_language()
        self.told = threading.Event()
        self.leads = self.is_saved = False
        self.outcome: Any = None

    def do(self) -> None:
        with override(self.language):
            self.outcome = self.work()


_waiting: dict[int, list[_Job]] = {}
"""Those who wait, by contest, while somebody makes changes of it for others too."""

_guard = threading.Lock()


def together(contest_id: int, work: Callable[[], Outcome]) -> Outcome:
    """Make a change of a contest, which takes its turn: in a transaction of its own, or with those of others.

    `work` may be done twice, of which only the second is saved. What it raises is raised here.
    """
    if connection.vendor == "sqlite" or doing() or connection.in_atomic_block:
        return _alone(work)
    refuse_under_memory_lock()
    job = _Job(work)
    with _guard:
        job.leads = contest_id not in _waiting
        if job.leads:
            _waiting[contest_id] = []
        else:
            _waiting[contest_id].append(job)
    if not job.leads:
        job.told.wait()
    if job.leads:
        _lead(contest_id, job)
    return cast(Outcome, job.outcome) if job.is_saved else _alone(work)


def _lead(contest_id: int, own: _Job) -> None:
    """Make our own change, and then those of all who came to wait meanwhile; and let the next one lead."""
    jobs = [own]
    try:
        with one_change():
            own.do()
            with _guard:
                jobs += _waiting[contest_id]
                _waiting[contest_id] = []
            for job in jobs[1:]:
                job.do()
    except Exception:
        if len(jobs) == 1:
            raise
    else:
        for job in jobs:
            job.is_saved = True
    finally:
        with _guard:
            if following := _waiting.pop(contest_id):
                _waiting[contest_id] = following[1:]
                following[0].leads = True
        for job in (*jobs[1:], *following[:1]):
            job.told.set()


def _alone(work: Callable[[], Outcome]) -> Outcome:
    with one_change():
        return work()
