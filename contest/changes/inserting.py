"""Inserting the rows that every reading makes: Django would put each statement together anew, here it is done once."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.models import BooleanField, CharField, Field, ForeignKey, IntegerField, Model, TextField

PLAIN = (BooleanField, CharField, ForeignKey, IntegerField, TextField)
"""Fields whose values both databases take as they are."""


def insert(row: Model, instead_of: Sequence[str] = ()) -> None:
    """Save a new row and tell it its key, in one statement.

    `instead_of` names the fields of a unique constraint: a row that has the same is changed to this one.
    """
    connection = connections[DEFAULT_DB_ALIAS]  # itself, not what stands for it: each field asks it for something
    statement, fields = _statement(type(row), tuple(instead_of), connection.features.can_return_columns_from_insert)
    values = [
        getattr(row, field.attname)
        if isinstance(field, PLAIN)
        else field.get_db_prep_save(field.pre_save(row, True), connection)
        for field in fields
    ]
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
        if connection.features.can_return_columns_from_insert:
            row.pk = cursor.fetchone()[0]
        elif not instead_of:
            row.pk = cursor.lastrowid
    row._state.adding, row._state.db = False, connection.alias


@cache
def _statement(model: type[Model], instead_of: tuple[str, ...], tells_key: bool) -> tuple[str, list[Field[Any, Any]]]:
    fields = [field for field in model._meta.concrete_fields if not field.primary_key]
    columns = [f'"{field.column}"' for field in fields]
    statement = (
        f'INSERT INTO "{model._meta.db_table}" ({", ".join(columns)}) VALUES ({", ".join(["%s"] * len(columns))})'  # noqa: S608
    )
    if instead_of:
        same = [f'"{model._meta.get_field(name).column}"' for name in instead_of]
        others = ", ".join(f"{column} = excluded.{column}" for column in columns if column not in same)
        statement += f" ON CONFLICT ({', '.join(same)}) DO UPDATE SET {others}"
    return statement + (' RETURNING "id"' if tells_key else ""), fields
