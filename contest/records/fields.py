"""What a row and its record say under the same name: a new column of the book is one line in the model, and one in the
record."""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from typing import Any

from django.db.models import Model

from contest.models import Category, Contest, Contestant, Division, JudgingClass, Part, ResultSet
from scoring.core import record as pure

RECORDS: dict[type[Model], Any] = {
    Contest: pure.Rules,
    Division: pure.Division,
    Category: pure.Category,
    ResultSet: pure.ResultSet,
    JudgingClass: pure.JudgingClass,
    Part: pure.Part,
    Contestant: pure.Contestant,
}
"""The models whose rows become one record each; what only one of the two says, `loading` and `rows` work out."""


@cache
def shared(model: type[Model]) -> tuple[str, ...]:
    """The fields that are the same in a row and in its record; what names it comes first."""
    record = RECORDS[model]
    names = record._fields if hasattr(record, "_fields") else [field.name for field in fields(record)]
    columns = {field.name for field in model._meta.local_concrete_fields if not field.is_relation}
    return tuple(name for name in names if name in columns)


def shared_values(model: type[Model], source: Any) -> dict[str, Any]:
    """What a row, or a record, of this model says in these fields."""
    return {name: getattr(source, name) for name in shared(model)}
