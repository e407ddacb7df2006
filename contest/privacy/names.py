"""Where names of people stand in a contest's tables, and what stands there once they are gone.

Somebody who acted stays one and the same: who read a card first and who second must stay two. So each name becomes
`person 1`, `person 2` and so on throughout the contest. What somebody typed in their own words may tell of anybody.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from contest.models import (
    Contest,
    Contestant,
    Helper,
    Key,
    KeyDispute,
    MarkReading,
    Reading,
    ReasonsOfficial,
    ReasonsReading,
    Team,
)
from reasons.models import PairNote, SetNote
from scoring.models import KeyRelease, PrintJob, Protest, Release

GONE = "made anonymous"

PEOPLE: tuple[tuple[Any, str, tuple[str, ...]], ...] = (
    (Helper, "contest", ("name",)),
    (Reading, "judging_class__contest", ("by", "withdrawn_by")),
    (MarkReading, "part__contest", ("by", "withdrawn_by")),
    (ReasonsReading, "judging_class__contest", ("by", "withdrawn_by")),
    (Key, "judging_class__contest", ("by", "confirmed_by")),
    (KeyDispute, "key__judging_class__contest", ("by", "settled_by")),
    (PairNote, "judging_class__contest", ("by",)),
    (SetNote, "judging_class__contest", ("by",)),
    (ReasonsOfficial, "contest", ("name",)),
    (Release, "contest", ("by", "withdrawn_by")),
    (KeyRelease, "judging_class__contest", ("by",)),
    (Protest, "contest", ("by",)),
    (PrintJob, "contest", ("by",)),
)
"""Who acted: each model, the way to its contest, and its columns that hold somebody's name."""

NAMES: tuple[tuple[Any, str, tuple[str, ...]], ...] = (
    (Contestant, "contest", ("first_name", "last_name", "say_name")),
    (Team, "division__contest", ("say_name",)),
    (SetNote, "judging_class__contest", ("note",)),
)
"""Columns that are emptied. A team's name is no person's, and stays."""

WORDS: tuple[tuple[Any, str, tuple[str, ...]], ...] = (
    (Contestant, "contest", ("ineligible_reason",)),
    (Reading, "judging_class__contest", ("reason", "withdrawn_reason", "on_card")),
    (MarkReading, "part__contest", ("reason", "withdrawn_reason")),
    (ReasonsReading, "judging_class__contest", ("reason", "withdrawn_reason")),
    (Key, "judging_class__contest", ("reason",)),
    (Protest, "contest", ("text", "outcome")),
    (Release, "contest", ("withdrawn_reason",)),
)
"""What somebody typed in their own words; GONE takes its place where there is anything."""


class People:
    """Who is who: the same person for the same name, however it is written."""

    def __init__(self, kept: Iterable[str]) -> None:
        self._called: dict[str, str] = {name.casefold(): name for name in kept}
        self._count = 0

    def called(self, name: str) -> str:
        if not name:
            return name
        if name.casefold() not in self._called:
            self._count += 1
            self._called[name.casefold()] = f"person {self._count}"
        return self._called[name.casefold()]


def rewrite_rows(contest: Contest, people: People) -> None:
    """Take the names out of the rows as they are."""
    for model, way, columns in PEOPLE:
        rows = model._base_manager.filter(**{way: contest.pk})
        for column in columns:
            for name in rows.order_by().values_list(column, flat=True).distinct():
                if people.called(name) != name:
                    _of(model, rows.filter(**{column: name})).update(**{column: people.called(name)})
    for model, way, columns in NAMES:
        _of(model, model._base_manager.filter(**{way: contest.pk})).update(**dict.fromkeys(columns, ""))
    for model, way, columns in WORDS:
        for column in columns:
            rows = model._base_manager.filter(**{way: contest.pk}).exclude(**{column: ""})
            _of(model, rows).update(**{column: GONE})


def rewritten(model: Any, row: dict[str, Any], people: People) -> dict[str, Any]:
    """A row's columns without names."""
    made = dict(row)
    for one, _, columns in PEOPLE:
        if one is model:
            made |= {column: people.called(row[column]) for column in columns if row.get(column)}
    for one, _, columns in NAMES:
        if one is model:
            made |= {column: "" for column in columns if row.get(column)}
    for one, _, columns in WORDS:
        if one is model:
            made |= {column: GONE for column in columns if row.get(column)}
    return made


def _of(model: Any, rows: Any) -> Any:
    """By key: an update across tables would be refused."""
    return model._base_manager.filter(pk__in=rows.order_by().values("pk"))
