"""A milder remedy than standardising: take off each official's scores what they seem to have given too much.

Standardising takes an official's mean and spread for their own, so that good contestants who met by chance before one
official count as a mild official, and few sets make a spread of anything. This moves a mean only. An official's shift
is estimated with contestants and classes taken into account (`shifts`), here against the mean of all who heard the
same classes, the official among them; and it is shrunk, as some of it is chance: with a variance of chance v in the
estimate, and a variance t of how shifts truly differ, the part t / (t + v) of it is taken off (Morris 1983). t is
what the estimates differ by beyond chance, so where they differ no more than chance would make them nothing is taken
off.

Worked example: of two rooms, one seems 1.5 points above their mean and the other as far below, each with v = 0.25.
Shifts are taken to differ by 1.5 x 1.5 - 0.25 = 2, so 2 / 2.25 of 1.5 is taken off the one and added to the other:
1.33.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from reasons.fairness.shifts import LEAST_FREEDOM, Heard, Model


def corrections(heard: Iterable[Heard]) -> dict[str, float]:
    """The points that would be added to each of an official's scores, by official; 0 where nothing can be told."""
    model = Model(heard)
    if model.freedom < LEAST_FREEDOM:
        return dict.fromkeys(model.officials, 0.0)
    chance = model.chance()
    seen: dict[str, tuple[float, float, float]] = {}
    for group in model.groups():
        for by in group:
            weights = _against_all(model, by, group)
            if any(weights.values()) and (estimate := model.estimate(weights)):
                much = sum([weight * weight for weight in weights.values()])
                seen[by] = estimate.points, estimate.variance * chance, much
    beyond = sum([points * points - variance for points, variance, _much in seen.values()])
    differ = max(0.0, beyond / sum([much for _points, _variance, much in seen.values()])) if seen else 0.0
    added = dict.fromkeys(model.officials, 0.0)
    for by, (points, variance, much) in seen.items():
        if differ:
            added[by] = -points * differ * much / (differ * much + variance)
    return added


def _against_all(model: Model, by: str, group: list[str]) -> dict[int | str, float]:
    """An official less the mean of all of the group who heard the same classes, with the official."""
    weights: defaultdict[int | str, float] = defaultdict(float, {by: 1.0})
    every = sum([counts[by] for counts in model.sets.values()])
    for counts in model.sets.values():
        here = sum([counts[other] for other in group])
        for other in group:
            if counts[by]:
                weights[other] -= counts[by] / every * counts[other] / here
    return weights
