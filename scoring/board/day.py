"""The sweepstakes of a contest's day on its board, once everybody may read them: every table by turns, or one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from django.core.cache import cache

from contest.changes.locks import MemoryLock
from contest.models import Contest, EventContest, TrailEntry
from contest.web.revisions import FRESH_FOR
from scoring.board.sheets import MOST_ROWS, MOST_TIES, Sheet, Shown
from scoring.events.showing import ShownDay, shown_day
from scoring.events.tables import Table
from scoring.standings.rows import short_by

DAY = "day"
"""The wish for every table; one of them is wished for as `day/SR/teams`."""

_lock = MemoryLock()


@dataclass(frozen=True, slots=True)
class TableOnBoard(Sheet):
    title: str
    anchor: str


class DayOnBoard(NamedTuple):
    """`event` is its key, where phones find what each contest gave."""

    event: int
    name: str
    tables: Sequence[TableOnBoard]
    corrected: str


def is_of_day(wish: str) -> bool:
    return wish.partition("/")[0] == DAY


def table_wish(table: Table) -> str:
    return f"{DAY}/{table.division}/{table.kind}"


def day_on_board(contest: Contest, wish: str) -> DayOnBoard | None:
    """What is wished of a contest's day; None where the day, or that table, cannot be read by everybody."""
    day = shown_day(contest)
    tables = [table for table in day.tables if wish in (DAY, table_wish(table))] if day else []
    if not day or not tables:
        return None
    return DayOnBoard(day.event.pk, day.event.name, [_sheet(table) for table in tables], corrected(day))


def corrected(day: ShownDay) -> str:
    return "; ".join(f"{title}: {what}" for title, what in day.corrections)


def _sheet(table: Table) -> TableOnBoard:
    ranks = Counter(line.rank for line in table.lines)
    cut = table.lines[:MOST_ROWS]
    shown = [
        Shown(
            line.rank,
            ranks[line.rank] > 1,
            None,
            line.who,
            "",
            line.total,
            short,
            (),
            line.tie if ranks[line.rank] == 1 and at < MOST_TIES else "",
        )
        for at, (line, short) in enumerate(zip(cut, short_by([line.total for line in cut]), strict=True))
    ]
    return TableOnBoard(shown, len(table.lines), table.title, f"{table.division}-{table.kind}")


def version_of_day(pk: int) -> str:
    """What the day of a contest hangs on: each of its contests, and what was said of days, which the site's own trail
    tells. Two small queries."""
    places = EventContest.objects.filter(event__places__contest=pk).order_by("pk")
    revisions = places.values_list("contest", "contest__revision", "contest__deleted_at")
    last = TrailEntry.objects.filter(contest=None).order_by("-pk").values_list("pk", flat=True).first()
    version = f"{last} {list(revisions)}"
    cache.set(_name(pk), version, FRESH_FOR)
    return version


def version_of_day_lately(pk: int) -> str:
    """The same, at most half a second old: asked by everybody who looks on."""
    with _lock:
        return cache.get(_name(pk)) or version_of_day(pk)


def ask_day_anew(pk: int) -> None:
    """Let whoever looks on next be told at once."""
    cache.delete(_name(pk))


def _name(pk: int) -> str:
    return f"day-of-{pk}"
