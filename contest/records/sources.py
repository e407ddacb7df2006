"""Where the rows of a record come from: the database as it is, or the contest as it was (`contest.history.past`)."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any, Protocol

from django.db.models import Model

from contest.changes.asking import Asked, asked
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
        return _asked(model, columns, order).rows(self._contest_id)


@cache
def _asked(model: Any, columns: tuple[str, ...], order: tuple[str, ...]) -> Asked:
    any_contest = 1
    rows = model._base_manager.filter(**{WAYS[model]: any_contest}).order_by(*order).values_list(*columns)
    return asked(rows, any_contest)
