"""A row's columns as the triggers wrote them, as Python's values again."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from functools import cache
from typing import Any

from django.db import connection
from django.db.models import CharField, Field, ForeignKey, IntegerField, JSONField, Model, TextField

from scoring.core.placing import ANIMALS

RowValues = dict[str, Any]
"""A row's values by the names of its columns."""

MISSING = object()


def row_of(model: type[Model], before: str) -> RowValues:
    """What `RowChange.before` says of a row. Columns that the table does not have any more are left out, and those that
    it did not have yet hold what was meant without them."""
    stored = WITHOUT_COLUMNS.get(model._meta.label, {}) | json.loads(before)
    if "cuts" not in stored and "top" in stored:  # three columns once
        stored["cuts"] = " ".join(str(stored[cut]) for cut in ("top", "middle", "bottom"))
    return {
        column: said if field is None else _value(field, said)
        for column, field in _columns(model)
        if (said := stored.get(column, MISSING)) is not MISSING
    }


@cache
def _columns(model: type[Model]) -> list[tuple[str, Field[Any, Any] | None]]:
    """A model's columns, with the field of each whose values JSON does not hold as they are."""
    fields = model._meta.local_concrete_fields
    return [(field.column, None if _is_plain(field) else field) for field in fields]


def _is_plain(field: Field[Any, Any]) -> bool:
    of = field.target_field if isinstance(field, ForeignKey) else field
    return type(of).to_python in (CharField.to_python, TextField.to_python, IntegerField.to_python)


WITHOUT_COLUMNS: dict[str, RowValues] = {
    "contest.JudgingClass": {"animals": ANIMALS, "full_points": False, "minutes": None, "handling": ""},
    "contest.Division": {"reasons_least": 0, "alternates_compete": True},
    "contest.Contestant": {"unranked": "", "unranked_reason": "", "alternate": False, "late": False, "late_note": ""},
    "contest.ChoiceReading": {"number": None},
    "contest.Part": {"animals": "", "keep": 0, "questions": 0, "options": "", "worth": ""},
}
"""By model, what was meant before a table had these columns."""


def _value(field: Field[Any, Any], stored: Any) -> Any:
    if stored is None:
        return None
    if isinstance(field, JSONField):  # SQLite holds JSON as text, and so wrote it down as text
        return json.loads(stored) if connection.vendor == "sqlite" else stored
    value = (field.target_field if isinstance(field, ForeignKey) else field).to_python(stored)
    if isinstance(value, datetime) and value.tzinfo is None:  # SQLite holds times without their zone, in UTC
        return value.replace(tzinfo=UTC)
    return value
