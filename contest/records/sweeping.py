"""Contests that were never loaded to their end: nobody ever saw them, and nothing of them is to stay."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

from django.db.models import Model, QuerySet
from django.utils import timezone

from contest.changes import one_change
from contest.changes.locks import MemoryLock
from contest.models import (
    Card,
    Category,
    Choice,
    ChoiceReading,
    ClassDivision,
    CommitteeKey,
    CommitteeOfficial,
    CommitteeSeat,
    Contest,
    Contestant,
    Division,
    JudgingClass,
    Key,
    Mark,
    MarkReading,
    Part,
    PartKey,
    Reading,
    ReasonsOfficial,
    ReasonsReading,
    ReasonsScore,
    ResultSet,
    SetMember,
    Team,
    TieDecision,
    TieStep,
)
from contest.models.one_contest import way_to_contest
from contest.row_changes.stamping import unrecorded

ABANDONED = timedelta(minutes=1)
"""Without a new piece for so long, nobody works on it any more."""

PIECE = 100
REST = 2

ROWS: tuple[type[Model], ...] = (
    Mark,
    MarkReading,
    Choice,
    ChoiceReading,
    ReasonsScore,
    ReasonsReading,
    Card,
    Reading,
    SetMember,
    Contestant,
    Team,
    ReasonsOfficial,
    TieStep,
    TieDecision,
    Part.divisions.through,
    PartKey,
    Part,
    Key,
    CommitteeKey,
    CommitteeSeat,
    CommitteeOfficial,
    ClassDivision,
    JudgingClass,
    Category,
    ResultSet,
    Division,
)
"""What loading writes; what refers to others before what it refers to."""

_lock = MemoryLock()
_mine: set[int] = set()


@contextmanager
def being_loaded(pk: int) -> Iterator[None]:
    """While this process loads a contest, it is not abandoned, however long the laptop slept meanwhile."""
    with _lock:
        _mine.add(pk)
    try:
        yield
    finally:
        with _lock:
            _mine.discard(pk)


def sweep_abandoned() -> None:
    """Sweep away every contest whose loading was cut off, by a crash or a power cut."""
    now = timezone.now()
    with _lock:
        mine = set(_mine)
    for pk, at in Contest.every.exclude(loading_at=None).exclude(pk__in=mine).values_list("pk", "loading_at"):
        if at is not None and abs(now - at) > ABANDONED:  # a clock that was set back leaves times to come
            sweep(pk)


def sweep(pk: int) -> None:
    """Delete a contest that nobody sees yet, in pieces as short as those it came in."""
    for model in ROWS:
        contest = way_to_contest(model)
        rows = model._base_manager.filter(**{contest: pk, f"{contest}__loading_at__isnull": False})
        delete_in_pieces(rows, PIECE, REST)
    with one_change(), unrecorded():
        Contest.every.filter(pk=pk, loading_at__isnull=False).delete()


def delete_in_pieces(rows: QuerySet[Any], size: int, rest: float) -> None:
    """Delete rows, so many in the turn of one short change; then everybody else has `rest` times as long as it took."""
    while keys := list(rows.order_by("pk").values_list("pk", flat=True)[:size]):
        with one_change(), unrecorded():
            began = time.monotonic()
            rows.model._base_manager.filter(pk__in=keys).delete()
        time.sleep(rest * (time.monotonic() - began))
