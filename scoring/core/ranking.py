"""Ranks and ties: standard competition ranking (1, 2, 2, 4), and the step that separated equal totals."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import NamedTuple

SHARED = "shared"


class Ranking(NamedTuple):
    """Rows from the best down, in step: each row's index in what was ranked, its rank, and its tie."""

    order: list[int]
    ranks: list[int]
    ties: list[str]


def ranked(keys: Sequence[tuple[int, ...]], steps: Sequence[str]) -> Ranking:
    """Rank rows by their keys, highest first.

    A key is the row's total followed by its value in each of `steps`; all keys are of that one length. Rows whose keys
    are equal share their rank and stay in the order given. The tie is empty for a total that no other row has, SHARED
    where the whole key is shared, else the step that separated the row from its neighbours of the same total (the
    later step where two neighbours fell to different ones).
    """
    names = ("", *steps, SHARED)
    order = sorted(range(len(keys)), key=keys.__getitem__, reverse=True)
    ordered = [keys[row] for row in order]
    ranks: list[int] = []
    ties: list[str] = []
    above: tuple[int, ...] = ()
    step_above = 0
    for position, (key, below) in enumerate(zip_longest(ordered, ordered[1:]), start=1):
        step_below = _separating_step(key, below) if below and key[0] == below[0] else 0
        ranks.append(position if key != above else ranks[-1])
        ties.append(names[max(step_above, step_below)])
        above, step_above = key, step_below
    return Ranking(order, ranks, ties)


def _separating_step(key: tuple[int, ...], other: tuple[int, ...]) -> int:
    """The position at which two keys of the same total part; one past the last where they are equal."""
    for position, (mine, theirs) in enumerate(zip(key, other, strict=True)):
        if mine != theirs:
            return position
    return len(key)
