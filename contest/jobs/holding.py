"""Who works on what. It ends with whoever does: nothing is left behind by a process that was killed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection

from contest.changes import held as advisory
from contest.changes.held import Held

_here: dict[tuple[Held, int], object] = {}
"""What this process holds, each with a mark of its own thread."""


@contextmanager
def holding(what: Held, number: int) -> Iterator[bool]:
    """Hold it for as long as the block runs; says whether it could be had."""
    key, mark = (what, number), object()
    if _here.setdefault(key, mark) is not mark:
        yield False
        return
    is_held = False
    try:
        is_held = _hold(what, number)
        yield is_held
    finally:
        del _here[key]
        if is_held and connection.vendor == "postgresql":
            advisory.let_go(connection, what, number)


def held(what: Held) -> set[int]:
    """What somebody works on, here or elsewhere."""
    numbers = {number for kind, number in list(_here) if kind == what}
    if connection.vendor == "postgresql":
        numbers |= {holder.number for holder in advisory.held_by_others(connection, what)}
    return numbers


def somebody_works() -> bool:
    """Whether another process is there for jobs alone, as `manage.py work` is."""
    return bool(advisory.held_by_others(connection, Held.WORKS))


def _hold(what: Held, number: int) -> bool:
    return connection.vendor != "postgresql" or advisory.hold(connection, what, number)
