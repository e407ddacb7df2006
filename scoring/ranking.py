"""Ranks and ties: standard competition ranking (1, 2, 2, 4), and the step that separated equal totals."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

SHARED = "shared"

INDIVIDUAL_STEPS = frozenset({"total", "reasons", "placing", "best-class"})
TEAM_STEPS = INDIVIDUAL_STEPS | {"left-out"}
NAMED_STEPS = frozenset({"class", "category", "part"})
"""Kinds of step that name what they look at, such as `class:3`."""


class Place(NamedTuple):
    """Where a row ended. `row` points into the keys given to `ranked`; `tie` is a step's name, SHARED or empty."""

    row: int
    rank: int
    tie: str


def ranked(keys: Sequence[tuple[int, ...]], steps: Sequence[str]) -> list[Place]:
    """Rank rows by their keys, highest first.

    A key is the row's total followed by its value in each of `steps`; all keys are of that one length. Rows whose keys
    are equal share their rank and stay in the order given. `tie` is empty for a total that no other row has, SHARED
    where the whole key is shared, else the step that separated the row from its neighbours of the same total (the
    later step where two neighbours fell to different ones).
    """
    order = sorted(range(len(keys)), key=keys.__getitem__, reverse=True)
    places: list[Place] = []
    rank = 0
    above: tuple[int, ...] = ()
    step_above = 0
    for position, row in enumerate(order):
        key = keys[row]
        if key != above:
            rank = position + 1
        below = keys[order[position + 1]] if position + 1 < len(order) else ()
        step_below = _separating_step(key, below)
        deepest = max(step_above, step_below)
        places.append(Place(row, rank, _tie(deepest, steps)))
        above, step_above = key, step_below
    return places


def _separating_step(key: tuple[int, ...], other: tuple[int, ...]) -> int:
    """The position at which two neighbouring keys part: 0 for their totals; past the end where they are equal."""
    if not other or key[0] != other[0]:
        return 0
    for position, (mine, theirs) in enumerate(zip(key, other, strict=True)):
        if mine != theirs:
            return position
    return len(key)


def _tie(position: int, steps: Sequence[str]) -> str:
    if position == 0:
        return ""
    return SHARED if position > len(steps) else steps[position - 1]
