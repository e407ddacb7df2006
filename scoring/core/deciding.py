"""Ties that no step separates, put in order by a draw or an official's word.

A decision holds among rows that are equal in everything, and only if it names all of them and nobody else: as soon as
one more is level with them, or one of them is not any more, it says nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from scoring.core.record import DecidedTie, Record

HOW = ("draw", "word")


def decisions_on(record: Record, division: str, code: str, kind: str) -> list[DecidedTie]:
    """The decisions about the rows of one list."""
    return [d for d in record.decided if (d.division, d.list, d.kind) == (division, code, kind)]


def decided_values(keys: Sequence[Any], names: Sequence[str], decisions: Sequence[DecidedTie]) -> list[int]:
    """What the decisions give to each row, the higher the better; 0 where none holds. `names` are in step."""
    values = [0] * len(keys)
    if decisions:
        level = defaultdict(list)
        for row, key in enumerate(keys):
            level[key].append(row)
        by_rows = {frozenset(decision.order): decision.order for decision in decisions}
        for rows in level.values():
            order = by_rows.get(frozenset(names[row] for row in rows), ())
            for row in rows if order else ():
                values[row] = len(order) - order.index(names[row])
    return values


def how_decided(names: Sequence[str], decisions: Sequence[DecidedTie]) -> dict[str, DecidedTie]:
    """The decision about each of the rows that it names."""
    return {name: decision for decision in decisions for name in decision.order if name in names}
