"""Where the rows of a record come from: the database as it is, or the contest as it was (`contest.history.past`)."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any, NamedTuple, Protocol

from django.db import DEFAULT_DB_ALIAS, connection
from django.db.models import Model

from contest.models import ChoiceReading, Contest, MarkReading, Reading, ReasonsReading
from contest.models.one_contest import way_to_contest
from contest.records.sweeping import ROWS

CHUNK = 10_000
"""Rows fetched at once; Django's own hundred would cost a call of the database for each."""

READINGS = (Reading, MarkReading, ReasonsReading, ChoiceReading)  # a record holds what they come to

WAYS: dict[type[Model], str] = {
    Contest: "pk",
    **{model: way_to_contest(model) for model in ROWS if model not in READINGS},
}
"""The tables that a record is made of, each with the way to its contest."""


class Rows(Protocol):
    """The rows of one contest."""

    def of(self, model: Any, *columns: str, order: tuple[str, ...] = ("pk",)) -> Iterable[tuple[Any, ...]]:
        """These columns of all the contest's rows of a model."""


class RowsNow:
    """The rows of one contest as the database has them."""

    def __init__(self, contest_id: int) -> None:
        self._contest_id = contest_id

    def of(self, model: Any, *columns: str, order: tuple[str, ...] = ("pk",)) -> Iterable[tuple[Any, ...]]:
        asked = _asked(model, columns, order)
        with connection.cursor() as cursor:
            cursor.execute(asked.statement, [self._contest_id])
            rows: list[tuple[Any, ...]] = cursor.fetchall()
        return _converted(rows, asked.converters) if asked.converters else rows


class _Asked(NamedTuple):
    """A query as Django puts it together, which takes longer than to answer most of them, and so is done but once."""

    statement: str
    converters: dict[int, tuple[list[Any], Any]]
    """What Django makes of the values of some columns: functions, and the expression that each is told."""


@cache
def _asked(model: Any, columns: tuple[str, ...], order: tuple[str, ...]) -> _Asked:
    any_contest = 1
    rows = model._base_manager.filter(**{WAYS[model]: any_contest}).order_by(*order).values_list(*columns)
    compiler = rows.query.get_compiler(DEFAULT_DB_ALIAS)
    statement, values = compiler.as_sql()
    assert values == (any_contest,), "its one value is the contest"
    return _Asked(statement, compiler.get_converters([expression for expression, *_ in compiler.select]))


def _converted(rows: list[tuple[Any, ...]], converters: dict[int, tuple[list[Any], Any]]) -> Iterable[tuple[Any, ...]]:
    """Rows with the values that Django would give; whole columns at a time, for speed."""
    columns: list[Iterable[Any]] = list(zip(*rows, strict=True))
    if not columns:
        return rows
    for place, (functions, expression) in converters.items():
        for function in functions:
            columns[place] = [function(value, expression, connection) for value in columns[place]]
    return zip(*columns, strict=True)
