"""Asking what is asked again and again, with queries that Django puts together but once: that takes it longer than the
database takes to answer most of them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

from django.db import DEFAULT_DB_ALIAS, connection
from django.db.models import QuerySet

Rows = Iterable[tuple[Any, ...]]


class Asked(NamedTuple):
    """A query that is put together, but for its values."""

    statement: str
    converters: dict[int, tuple[list[Any], Any]]
    """What Django makes of the values of some columns: functions, and the expression that each is told."""

    def rows(self, *values: Any) -> Rows:
        """The same rows that Django would give; converted by whole columns, for speed."""
        with connection.cursor() as cursor:
            cursor.execute(self.statement, values)
            rows: list[tuple[Any, ...]] = cursor.fetchall()
        if not rows or not self.converters:
            return rows
        columns: list[Iterable[Any]] = list(zip(*rows, strict=True))
        for place, (functions, expression) in self.converters.items():
            for function in functions:
                columns[place] = [function(value, expression, connection) for value in columns[place]]
        return zip(*columns, strict=True)


def asked(rows: QuerySet[Any, Any], *values: Any) -> Asked:
    """A query for values, put together; `values` are all that are in it, in whose places others are asked for."""
    compiler = rows.query.get_compiler(DEFAULT_DB_ALIAS)
    statement, found = compiler.as_sql()
    assert found == values
    return Asked(statement, compiler.get_converters([expression for expression, *_ in compiler.select]))
