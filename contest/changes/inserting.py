"""Writing rows that are written by many at once, or in great number, with statements that are put together but once.

Django puts each statement together anew, and prepares each value of each row for a database that it asks for by name:
that takes many times as long as the database itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache, lru_cache
from itertools import repeat
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.models import BooleanField, CharField, Field, ForeignKey, IntegerField, Model, TextField

from contest.changes.at_once import send

PLAIN = (BooleanField, CharField, ForeignKey, IntegerField, TextField)
"""Fields whose values both databases take as they are."""

Fields = Sequence["Field[Any, Any]"]


def insert(row: Model) -> Callable[[], None]:
    """Save a new row, in one statement. What is returned tells the row its key."""

    def told(rows: list[Any]) -> None:
        ((row.pk,),) = rows
        row._state.adding, row._state.db = False, DEFAULT_DB_ALIAS

    return send(
        f'{_insertion(type(row))} RETURNING "id"',
        [stored(field, field.pre_save(row, True)) for field in _fields(type(row))],
        told,
    )


def put(model: type[Model], values: Mapping[str, Any], instead_of: Sequence[str] = ()) -> None:
    """Save a new row with these values of all its columns, by the names that its fields have as attributes.

    `instead_of` names the fields of a unique constraint: a row that has the same is changed to this one.
    """
    row = [stored(field, values[field.attname]) for field in _fields(model)]
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute(_insertion(model, tuple(instead_of)), row)


def insertion(rows: Sequence[Model]) -> Callable[[], None]:
    """Prepare to save new rows of one model, whose values are all known. What is returned saves them, and tells each
    row its key.

    What takes long is done here, before anybody's turn: by then the database alone has something to do, with one
    statement for many rows, so that whoever computes beside it is asked but once to let go of the interpreter.
    """
    model, connection = type(rows[0]), connections[DEFAULT_DB_ALIAS]
    fields = _fields(model)
    most = max(1, (connection.features.max_query_params or len(fields) * len(rows)) // len(fields))
    parts = [rows[at : at + most] for at in range(0, len(rows), most)]
    values = [[stored(field, field.pre_save(row, True)) for row in part for field in fields] for part in parts]

    def save() -> None:
        with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
            for part, of_part in zip(parts, values, strict=True):
                cursor.execute(_insertion_of_rows(model, len(part)), of_part)
                for row, (key,) in zip(part, cursor.fetchall(), strict=True):
                    row.pk = key
                    row._state.adding, row._state.db = False, DEFAULT_DB_ALIAS

    return save


def insert_rows(model: type[Model], names: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    """Save new rows: the values of some fields of each, by the names that these have as attributes. The others have
    what is usual."""
    usual, place = model(), {name: place for place, name in enumerate(names)}
    columns = [
        stored_all(field, [row[place[field.attname]] for row in rows])
        if field.attname in place
        else repeat(stored(field, field.pre_save(usual, True)), len(rows))
        for field in _fields(model)
    ]
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.executemany(_insertion(model), list(zip(*columns, strict=True)))


def update_rows(model: type[Model], names: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    """Save some fields of rows: the values of each, in the order of the fields' `names`, and last its key."""
    if rows:
        fields = [_field(model, name) for name in names]
        setting = ", ".join(f'"{field.column}" = %s' for field in fields)
        statement = f'UPDATE "{model._meta.db_table}" SET {setting} WHERE "id" = %s'  # noqa: S608 -- our own names
        *columns, keys = zip(*rows, strict=True)
        values = [*map(stored_all, fields, columns), keys]
        with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
            cursor.executemany(statement, list(zip(*values, strict=True)))


def stored(field: Field[Any, Any], value: Any) -> Any:
    """A field's value as the database takes it."""
    return value if _is_plain(field) else field.get_db_prep_save(value, connections[DEFAULT_DB_ALIAS])


def stored_all(field: Field[Any, Any], values: Sequence[Any]) -> Sequence[Any]:
    """A whole column at once, which is several times as fast for many rows."""
    return values if _is_plain(field) else [stored(field, value) for value in values]


def _is_plain(field: Field[Any, Any]) -> bool:
    """Whether the values of a field are the database's own: not so where a field of ours makes others of them."""
    return isinstance(field, PLAIN) and type(field).__module__.startswith("django.")


def _field(model: type[Model], name: str) -> Field[Any, Any]:
    field = model._meta.get_field(name)
    assert isinstance(field, Field)
    return field


@cache
def _fields(model: type[Model]) -> Fields:
    return [field for field in model._meta.concrete_fields if not field.primary_key]


@lru_cache(maxsize=1000)
def _insertion_of_rows(model: type[Model], count: int) -> str:
    first = _insertion(model)
    row = first[first.rindex("(") :]
    return ", ".join([first, *repeat(row, count - 1)]) + ' RETURNING "id"'


@cache
def _insertion(model: type[Model], instead_of: tuple[str, ...] = ()) -> str:
    columns = [f'"{field.column}"' for field in _fields(model)]
    statement = (
        f'INSERT INTO "{model._meta.db_table}" ({", ".join(columns)}) VALUES ({", ".join(["%s"] * len(columns))})'  # noqa: S608
    )
    if instead_of:
        same = [f'"{_field(model, name).column}"' for name in instead_of]
        others = ", ".join(f"{column} = excluded.{column}" for column in columns if column not in same)
        statement += f" ON CONFLICT ({', '.join(same)}) DO UPDATE SET {others}"
    return statement
