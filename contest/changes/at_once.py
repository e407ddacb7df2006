"""Sending several statements to PostgreSQL without waiting for the answer to each.

Whoever changes a contest has its row locked until the end, and everybody else waits for it: each answer that is waited
for meanwhile, with two processes that must be woken for it, is a part of everybody's wait. On SQLite a statement is a
call of a function, and there is nothing to save.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

from django.db import DEFAULT_DB_ALIAS, connections

Said = TypeVar("Said")


@contextmanager
def at_once() -> Iterator[None]:
    """Within a transaction: statements that are sent by `send` are on their way together, until one answer is fetched.

    What is wrong with one of them is raised where the next answer is fetched, or at the end of this, and as the errors
    that Django has. Whatever else is asked inside is answered as ever, but does not know how many rows it changed.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    if connection.vendor == "sqlite":
        yield
        return
    with connection.wrap_database_errors, connection.connection.pipeline():
        yield


def send(statement: str, values: Any, said: Callable[[list[Any]], Said]) -> Callable[[], Said]:
    """Send a statement, and return a function that waits for its answer: what `said` makes of its rows."""
    connection = connections[DEFAULT_DB_ALIAS]
    cursor = connection.cursor()
    cursor.execute(statement, values)
    if connection.vendor == "sqlite":
        # A statement whose rows nobody fetches, since the next one failed, would keep the connection from saving again.
        with cursor:
            rows = cursor.fetchall()
        return lambda: said(rows)

    def answer() -> Said:
        with cursor:
            return said(cursor.fetchall())

    return answer
