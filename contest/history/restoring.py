"""Putting rows back as they were, whatever the order: the database looks at what refers to what when all is done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.db import connection
from django.db.models import Field, Model

from contest.changes.inserting import stored_all
from contest.history.obstacles import Undone, Where
from contest.row_changes.tables import recorded
from contest.row_changes.values import RowValues


def put_back(undone: dict[Where, Undone]) -> None:
    """Let each row be what it was: gone, there again, or with the columns that it had.

    Two rows may have changed numbers with each other, and no statement may see a number twice: so rows whose place in
    a unique constraint changes are taken out before any is put in.
    """
    for model, left_out, _ in recorded():
        rows = {key: row for (owner, key), row in undone.items() if owner is model}
        replaced = {
            key for key, row in rows.items() if row.before and row.now and _is_elsewhere(model, row.before, row.now)
        }
        gone = [key for key, row in rows.items() if row.now and (row.before is None or key in replaced)]
        back = {key: row.before for key, row in rows.items() if row.before and (row.now is None or key in replaced)}
        other = {key: row.before for key, row in rows.items() if row.before and row.now and key not in replaced}
        _delete(model, gone)
        _insert(model, back)
        _update(model, other, left_out)


def _is_elsewhere(model: type[Model], before: RowValues, now: RowValues) -> bool:
    names = {name for constraint in model._meta.constraints for name in getattr(constraint, "fields", ())}
    columns = [field.column for field in model._meta.local_concrete_fields if field.name in names]
    return any(before[column] != now[column] for column in columns)


def _delete(model: type[Model], keys: list[int]) -> None:
    """By SQL, which asks nobody: what refers to these rows goes too, or they come back."""
    with connection.cursor() as cursor:
        cursor.executemany(f"DELETE FROM {_table(model)} WHERE id = %s", [[key] for key in keys])  # noqa: S608


def _insert(model: type[Model], rows: dict[int, RowValues]) -> None:
    fields = model._meta.local_concrete_fields
    columns, marks = ", ".join(map(_quoted, fields)), ", ".join(["%s"] * len(fields))
    values = list(zip(*_values(fields, rows), strict=True))
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {_table(model)} ({columns}) VALUES ({marks})", values)  # noqa: S608


def _update(model: type[Model], rows: dict[int, RowValues], left_out: frozenset[str]) -> None:
    fields = [field for field in model._meta.local_concrete_fields if field.column not in {"id", *left_out}]
    setting = ", ".join(f"{_quoted(field)} = %s" for field in fields)
    values = list(zip(*_values(fields, rows), rows, strict=True))
    with connection.cursor() as cursor:
        cursor.executemany(f"UPDATE {_table(model)} SET {setting} WHERE id = %s", values)  # noqa: S608


def _values(fields: Sequence[Field[Any, Any]], rows: dict[int, RowValues]) -> Iterator[Sequence[Any]]:
    """Of each field its column of all rows, as the database takes it."""
    for field in fields:
        name = field.column
        column = [row[name] if name in row else field.get_default() for row in rows.values()]
        yield stored_all(field, column)


def _quoted(field: Field[Any, Any]) -> str:
    return connection.ops.quote_name(field.column)


def _table(model: type[Model]) -> str:
    return connection.ops.quote_name(model._meta.db_table)
