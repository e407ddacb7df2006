"""What each official gave, in figures."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import correlation, fmean

from reasons.fairness.evenness import Ranked, uneven
from reasons.fairness.shifts import Heard, Shift, Unknown, shifts


@dataclass(frozen=True, slots=True)
class Figures:
    """What one official or room gave.

    `spread` is the standard deviation. `placing` is the mean placing score of the contestants heard, to be compared
    with everybody's, and `agreement` the correlation of the points with it. None where it cannot be said. `uneven`
    names the lists in which somebody was heard here and others were not, so that a shift favours somebody.
    """

    by: str
    sets: int
    mean: float
    spread: float | None
    least: float
    most: float
    placing: float | None
    agreement: float | None
    shift: Shift | Unknown
    uneven: tuple[str, ...] = ()

    @property
    def is_constant(self) -> bool:
        """Whether each of several sets got the same points."""
        return self.sets > 1 and self.least == self.most


def figures(heard: Sequence[Heard], lists: Sequence[Ranked] = ()) -> list[Figures]:
    """The figures of everybody who heard a set, by name, from the reasons alone."""
    of = _by_official(heard)
    shift_of, uneven_for = shifts(heard), uneven(heard, lists)
    return [_figures(by, own, shift_of[by], uneven_for.get(by, ())) for by, own in sorted(of.items())]


def beside_placings(told: Sequence[Figures], heard: Sequence[Heard], placing: Mapping[int, float]) -> list[Figures]:
    """The same, with what the contestants' placing scores say of them."""
    of = _by_official(heard)
    return [_beside_placings(one, of[one.by], placing) for one in told]


def _by_official(heard: Sequence[Heard]) -> dict[str, list[Heard]]:
    of: defaultdict[str, list[Heard]] = defaultdict(list)
    for score in heard:
        of[score.by].append(score)
    return of


def _figures(by: str, own: list[Heard], shift: Shift | Unknown, lists: tuple[str, ...]) -> Figures:
    points = [score.points for score in own]
    return Figures(
        by=by,
        sets=len(points),
        mean=fmean(points),
        spread=spread(points),
        least=min(points),
        most=max(points),
        placing=None,
        agreement=None,
        shift=shift,
        uneven=lists,
    )


def _beside_placings(told: Figures, own: list[Heard], placing: Mapping[int, float]) -> Figures:
    placed = [(score.points, placing[score.number]) for score in own if score.number in placing]
    numbers = {score.number for score in own} & placing.keys()
    mean = fmean(placing[number] for number in numbers) if numbers else None
    return replace(told, placing=mean, agreement=_correlation(placed))


def _correlation(pairs: list[tuple[float, float]]) -> float | None:
    if len(pairs) < 3 or any(len(set(column)) == 1 for column in zip(*pairs, strict=True)):
        return None
    return correlation(*zip(*pairs, strict=True))


def spread(points: Sequence[float]) -> float | None:
    """Their standard deviation, exactly 0 where all are alike; None of a single one."""
    if len(points) < 2:
        return None
    off = [value - points[0] for value in points]
    squares = sum([value * value for value in off]) - sum(off) ** 2 / len(off)
    return math.sqrt(max(squares, 0.0) / (len(off) - 1))
