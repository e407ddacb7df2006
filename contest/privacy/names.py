"""Where names of people stand in a contest's tables, and what stands there once they are gone.

Somebody who acted stays one and the same: who read a card first and who second must stay two. So each name becomes
`person 1`, `person 2` and so on throughout the contest. What somebody typed in their own words may tell of anybody.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.apps import apps
from django.db.models import Model, QuerySet

from contest.models import Contest
from contest.models.one_contest import way_to_contest

GONE = "made anonymous"

Table = dict[str, tuple[str, ...]]
"""Models by their labels, each with columns of it."""

PEOPLE: Table = {
    "contest.Helper": ("name",),
    "contest.Reading": ("by", "withdrawn_by"),
    "contest.MarkReading": ("by", "withdrawn_by"),
    "contest.ReasonsReading": ("by", "withdrawn_by"),
    "contest.Key": ("by", "confirmed_by"),
    "contest.KeyDispute": ("by", "settled_by"),
    "reasons.PairNote": ("by",),
    "reasons.SetNote": ("by",),
    "contest.ReasonsOfficial": ("name",),
    "scoring.Release": ("by", "withdrawn_by"),
    "scoring.KeyRelease": ("by",),
    "scoring.Protest": ("by",),
    "scoring.PrintJob": ("by",),
}
"""Who acted: columns that hold somebody's name."""

NAMES: Table = {
    "contest.Contestant": ("first_name", "last_name", "say_name"),
    "contest.Team": ("say_name",),
    "reasons.SetNote": ("note",),
}
"""Columns that are emptied. A team's name is no person's, and stays."""

WORDS: Table = {
    "contest.Contestant": ("ineligible_reason",),
    "contest.Reading": ("reason", "withdrawn_reason", "on_card"),
    "contest.MarkReading": ("reason", "withdrawn_reason"),
    "contest.ReasonsReading": ("reason", "withdrawn_reason"),
    "contest.Key": ("reason",),
    "scoring.Protest": ("text", "outcome"),
    "scoring.Release": ("withdrawn_reason",),
}
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
    for rows, columns in _rows(PEOPLE, contest):
        for column in columns:
            for name in rows.order_by().values_list(column, flat=True).distinct():
                if people.called(name) != name:
                    _update(rows.filter(**{column: name}), {column: people.called(name)})
    for rows, columns in _rows(NAMES, contest):
        _update(rows, dict.fromkeys(columns, ""))
    for rows, columns in _rows(WORDS, contest):
        for column in columns:
            _update(rows.exclude(**{column: ""}), {column: GONE})


def rewritten(model: type[Model], row: dict[str, Any], people: People) -> dict[str, Any]:
    """A row's columns without names."""
    made = dict(row)
    for table, without in ((PEOPLE, people.called), (NAMES, lambda _: ""), (WORDS, lambda _: GONE)):
        columns = table.get(model._meta.label, ())
        made |= {column: without(row[column]) for column in columns if row.get(column)}
    return made


def _rows(table: Table, contest: Contest) -> Iterator[tuple[QuerySet[Any], tuple[str, ...]]]:
    for label, columns in table.items():
        model = apps.get_model(label)
        yield model._base_manager.filter(**{way_to_contest(model): contest.pk}), columns


def _update(rows: QuerySet[Any], values: dict[str, str]) -> None:
    """By key: an update across tables would be refused."""
    rows.model._base_manager.filter(pk__in=rows.order_by().values("pk")).update(**values)
