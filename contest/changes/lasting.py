"""Changes that nobody is told of before a later one, and for which nobody has to wait for the disk."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DEFAULT_DB_ALIAS, connections

AT_ONCE = {
    "sqlite": ["PRAGMA synchronous = FULL", "PRAGMA wal_autocheckpoint = 1000"],  # the latter is SQLite's own number
    "postgresql": ["SET synchronous_commit = on"],
}
WITH_THE_NEXT = {
    "sqlite": ["PRAGMA synchronous = NORMAL", "PRAGMA wal_autocheckpoint = 0"],  # see `put_away`
    "postgresql": ["SET synchronous_commit = off"],
}


@contextmanager
def lasting_with_the_next() -> Iterator[None]:
    """Let what this thread changes inside be on the disk no later than the next change that anybody else makes, or it
    makes afterwards.

    Both databases write one log, in the order of the changes: a power cut may take the last of those that are made
    inside, never one of the middle, and never one that somebody was told of, since that change had all of the log
    written. So it is for the pieces of what only counts with its last, made outside, such as a contest that nobody
    sees yet. What waits for the disk holds the turn meanwhile, for most of the time that a short change takes.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    if connection.in_atomic_block:  # it is all one change then; tests do so
        yield
        return
    _say(WITH_THE_NEXT)
    try:
        yield
    finally:
        _say(AT_ONCE)


def put_away() -> None:
    """On SQLite, move what is in the log into the database's file, beside whatever others do: call it now and again
    between changes that last with the next.

    SQLite does it by itself at the end of a change, once the log has 4 MB: for tens of milliseconds in which whoever
    makes that change has the turn.
    """
    connection = connections[DEFAULT_DB_ALIAS]
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchall()


def _say(settings: dict[str, list[str]]) -> None:
    connection = connections[DEFAULT_DB_ALIAS]
    with connection.cursor() as cursor:
        for setting in settings[connection.vendor]:
            cursor.execute(setting)
