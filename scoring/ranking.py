"""Ranks and ties: standard competition ranking (1, 2, 2, 4), and the step that separated equal totals."""

from __future__ import annotations

from collections.abc import Sequence

SHARED = "shared"

INDIVIDUAL_STEPS = frozenset({"total", "reasons", "placing", "best-class"})
TEAM_STEPS = INDIVIDUAL_STEPS | {"left-out"}
NAMED_STEPS = frozenset({"class", "category", "part"})
"""Kinds of step that name what they look at, such as `class:3`."""


def ranked(keys: Sequence[tuple[int, ...]], steps: Sequence[str]) -> list[tuple[int, int, str]]:
    """Rank rows by their keys, highest first: (the row's index in `keys`, its rank, its tie) for each.

    A key is the row's total followed by its value in each of `steps`; all keys are of that one length. Rows whose keys
    are equal share their rank and stay in the order given. The tie is empty for a total that no other row has, SHARED
    where the whole key is shared, else the step that separated the row from its neighbours of the same total (the
    later step where two neighbours fell to different ones).
    """
    ties = ("", *steps, SHARED)
    order = sorted(range(len(keys)), key=keys.__getitem__, reverse=True)
    places: list[tuple[int, int, str]] = []
    rank = 0
    above: tuple[int, ...] = ()
    step_above = 0
    for position, row in enumerate(order):
        key = keys[row]
        if key != above:
            rank = position + 1
        below = keys[order[position + 1]] if position + 1 < len(order) else ()
        step_below = _separating_step(key, below) if below and key[0] == below[0] else 0
        places.append((row, rank, ties[max(step_above, step_below)]))
        above, step_above = key, step_below
    return places


def _separating_step(key: tuple[int, ...], other: tuple[int, ...]) -> int:
    """The position at which two keys of the same total part; one past the last where they are equal."""
    for position, (mine, theirs) in enumerate(zip(key, other, strict=True)):
        if mine != theirs:
            return position
    return len(key)
