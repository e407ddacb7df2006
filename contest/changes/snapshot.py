"""Reading what belongs together: a report made of several queries shows one moment, however much others write."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Literal

from django.db import connection, transaction

Doing = Literal["reading", "changing", ""]
_here = threading.local()


class OnlyReads(RuntimeError):
    """Raised where something is to be changed within a snapshot."""


@contextmanager
def one_snapshot() -> Iterator[None]:
    """All that is read inside is of one moment, that of the first query. Nobody waits: neither it for a change, nor a
    change for it.

    Inside another snapshot, or inside a change, it is simply a part of that. Nothing may be changed in it, since on
    SQLite the change would fail whenever somebody else was quicker. Also a decorator: `@one_snapshot()`.
    """
    if doing() or connection.in_atomic_block:  # the latter alone is so in tests, which roll back what they did
        with _now_doing(doing() or "reading"):
            yield
        return
    with _now_doing("reading"), ExitStack() as transactions:
        if connection.vendor == "sqlite":
            with _begins_without_the_write_lock():
                transactions.enter_context(transaction.atomic())
        else:
            transactions.enter_context(transaction.atomic())
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield


@contextmanager
def a_change() -> Iterator[None]:
    """What `one_change` does is no reading. Raises OnlyReads inside a snapshot."""
    if doing() == "reading":
        raise OnlyReads("a snapshot only reads; make the change before it or after it")
    with _now_doing("changing"):
        yield


def doing() -> Doing:
    """Whether this thread reads a snapshot, makes a change, or neither."""
    return getattr(_here, "doing", "")


@contextmanager
def _now_doing(activity: Doing) -> Iterator[None]:
    before, _here.doing = doing(), activity
    try:
        yield
    finally:
        _here.doing = before


@contextmanager
def _begins_without_the_write_lock() -> Iterator[None]:
    """Let a transaction that begins inside take SQLite's write lock only if it writes: in WAL mode it is a snapshot."""
    connection.ensure_connection()  # connecting would set the mode anew
    usual, connection.transaction_mode = connection.transaction_mode, "DEFERRED"  # type: ignore[attr-defined]  # SQLite has it
    try:
        yield
    finally:
        connection.transaction_mode = usual  # type: ignore[attr-defined]  # the same
