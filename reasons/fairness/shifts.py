"""What an official's shift is: how much more they give than the others of their classes would to the same contestants.

Contestants are not equally good, and people do not speak equally well on every class. So every score is taken to be the
contestant's own level, plus the class's, plus the official's shift, plus chance, and all of them are estimated together
by least squares. An official is compared with those who heard the same classes, each weighing as much as they heard
there; whoever heard a class alone has nobody to be compared with, as the class and the official cannot be told apart.

Contestants are eliminated first. With x the 0s and 1s that say of which class and by whom each score is, the
equations are R e = q, where R adds up x x' over the scores less, for each contestant, s s' / m (m scores, s their sum
of x), and q is the same of x and the points. R is singular, as a class may take from its officials what it likes. So
it is swept: row by row it is turned into its inverse, and what depends on the rows before is left out. Whether a
comparison can be made at all is seen from what was left out; each that can has the same answer whatever that was.

Worked example: A and B both hear 101 (40 and 44), 102 (35 and 37), 103 (41 and 44) and 104 (38 and 41) on class 1. B
gave 4, 2, 3 and 3 more, 3 on average: A's shift is -3. What is left over, half a point each way for two contestants,
is 1 in all; with 8 scores less 4 contestants and 1 shift 3 degrees of freedom are left, so chance has a variance of
1/3, the shift one of 2/4 x 1/3 and a standard error of 0.41, and the interval is 1.3 points each way (3.18 times the
error).

The intervals hold together: in 95 of 100 contests every true shift lies within its own. So with c comparisons each is
as wide as 1 - 0.05/c asks for (Bonferroni), and a contest without any shift is told of one in 5 of 100.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from reasons.fairness.student import t_quantile

LEAST_FREEDOM = 3
"""Degrees of freedom below which nothing is said: with two an interval is 4.3 errors wide, with one 12.7."""

SURE = 0.95

NOTHING = 1e-8
"""What is left of a count that was taken away from itself."""


class Heard(NamedTuple):
    """What `by`, an official or a room, gave a contestant on a class, in points."""

    by: str
    number: int
    class_number: int
    points: float


class Unknown(Enum):
    """Why no shift can be told: nobody else heard the same classes; no contestant ties them to the others; or too few
    scores to tell a shift from chance."""

    ALONE = "alone"
    APART = "apart"
    TOO_FEW = "too few"


@dataclass(frozen=True, slots=True)
class Shift:
    """How much more points one gives than the others would to the same contestants, with the standard error, the
    interval and the degrees of freedom left to estimate chance."""

    points: float
    error: float
    low: float
    high: float
    freedom: int

    @property
    def is_seen(self) -> bool:
        """Does the interval leave 0 out?"""
        return self.low > 0 or self.high < 0


Column = str | int
"""An official or room, or the number of a class."""

Contrast = Mapping[Column, float]
"""Weights that add up to 0."""


class Estimate(NamedTuple):
    """A comparison in points, and its variance for a variance of chance of 1."""

    points: float
    variance: float


class Model:
    """Contestants, classes and officials of some scores, estimated together."""

    def __init__(self, heard: Iterable[Heard]) -> None:
        of: defaultdict[int, list[Heard]] = defaultdict(list)
        self.sets: defaultdict[int, Counter[str]] = defaultdict(Counter)
        """How many sets each heard, by class."""
        for score in sorted(heard):
            of[score.number].append(score)
            self.sets[score.class_number][score.by] += 1
        self._contestants = list(of.values())
        self.officials = sorted({by for counts in self.sets.values() for by in counts})
        self._columns: list[Column] = [*self.sets, *self.officials]
        self._place = {column: place for place, column in enumerate(self._columns)}
        self._rows, self._kept = _swept(self._matrix())
        self._left_out = [place for place in range(len(self._columns)) if place not in self._kept]
        wanted = self._wanted()
        self._effect = [
            sum([self._rows[here][other] * wanted[other] for other in self._kept]) if here in self._kept else 0.0
            for here in range(len(self._columns))
        ]
        self.freedom = sum(map(len, self._contestants)) - len(self._contestants) - len(self._kept)

    def _matrix(self) -> list[list[float]]:
        many, place = len(self._columns), self._place
        matrix = [[0.0] * many for _ in range(many)]
        alike = Counter(
            tuple([(place[score.class_number], place[score.by]) for score in scores]) for scores in self._contestants
        )  # with many contestants few were heard each in their own way
        for pairs, times in alike.items():
            total: Counter[int] = Counter()
            for pair in pairs:
                total.update(pair)
                for here in pair:
                    for other in pair:
                        matrix[here][other] += times
            for here, count in total.items():
                for other, others in total.items():
                    matrix[here][other] -= times * count * others / len(pairs)
        return matrix

    def _wanted(self) -> list[float]:
        wanted, place = [0.0] * len(self._columns), self._place
        for scores in self._contestants:
            mean = sum([score.points for score in scores]) / len(scores)
            for score in scores:
                wanted[place[score.class_number]] += score.points - mean
                wanted[place[score.by]] += score.points - mean
        return wanted

    def chance(self) -> float:
        """The variance of chance, in points squared; there must be freedom left."""
        left_over, place, effect = 0.0, self._place, self._effect
        for scores in self._contestants:
            bare = [score.points - effect[place[score.by]] - effect[place[score.class_number]] for score in scores]
            level = sum(bare) / len(bare)
            left_over += sum([(value - level) ** 2 for value in bare])
        return left_over / self.freedom

    def estimate(self, contrast: Contrast) -> Estimate | None:
        """None where these scores cannot tell."""
        weight = [0.0] * len(self._columns)
        for column, much in contrast.items():
            weight[self._place[column]] = much
        kept = [place for place in self._kept if weight[place]]
        for left in self._left_out:
            if abs(weight[left] - sum([weight[place] * self._rows[place][left] for place in kept])) > NOTHING:
                return None
        points = sum([weight[place] * self._effect[place] for place in kept])
        variance = sum([weight[here] * self._rows[here][other] * weight[other] for here in kept for other in kept])
        return Estimate(points, max(variance, 0.0))

    def groups(self) -> list[list[str]]:
        """The officials, put together with those they can be compared with."""
        groups: list[list[str]] = []
        for by in self.officials:
            for group in groups:
                if self.estimate({by: 1, group[0]: -1}):
                    group.append(by)
                    break
            else:
                groups.append([by])
        return groups

    def against_others(self, by: str, among: Iterable[str]) -> dict[Column, float]:
        """The comparison of one with those of `among` who heard the same classes, each weighing as much as they heard
        there; empty where nobody did."""
        among = set(among)
        weights: defaultdict[Column, float] = defaultdict(float)
        for counts in self.sets.values():
            others = {other: sets for other, sets in counts.items() if other != by and other in among}
            if by in counts and others:
                every = sum(others.values())
                for other, sets in others.items():
                    weights[other] -= counts[by] * sets / every
        total = -sum(weights.values())
        return {by: 1.0, **{other: weight / total for other, weight in weights.items()}} if weights else {}


def shifts(heard: Iterable[Heard]) -> dict[str, Shift | Unknown]:
    """Everybody's shift against the others of the same classes, or why it cannot be told."""
    model = Model(heard)
    group_of = {by: group for group in model.groups() for by in group}
    told: dict[str, Shift | Unknown] = {}
    compared: dict[str, Estimate] = {}
    asked: set[frozenset[tuple[Column, float]]] = set()  # two in one room are compared but once
    for by in model.officials:
        contrast = model.against_others(by, group_of[by])
        estimate = model.estimate(contrast) if contrast else None
        if estimate is None:
            told[by] = Unknown.APART if model.against_others(by, model.officials) else Unknown.ALONE
        elif model.freedom < LEAST_FREEDOM:
            told[by] = Unknown.TOO_FEW
        else:
            compared[by] = estimate
            asked.add(frozenset((other, round(abs(weight), 9)) for other, weight in contrast.items()))
    if compared:
        variance, wide = model.chance(), t_quantile(model.freedom, 1 - (1 - SURE) / len(asked))
        for by, (points, each) in compared.items():
            error = math.sqrt(variance * each)
            told[by] = Shift(points, error, points - wide * error, points + wide * error, model.freedom)
    return told


def _swept(matrix: list[list[float]]) -> tuple[list[list[float]], list[int]]:
    """A symmetric matrix swept (Goodnight 1979), and the rows that were: among them stands its inverse, and beside each
    of the others by what these make it up."""
    rows = [list(row) for row in matrix]
    kept: list[int] = []
    waiting = set(range(len(rows)))
    while waiting:
        here = max(waiting, key=lambda place: rows[place][place])
        pivot = rows[here][here]
        if pivot < NOTHING * max(1.0, matrix[here][here]):
            break
        waiting.remove(here)
        kept.append(here)
        own = rows[here] = [value / pivot for value in rows[here]]
        for other, row in enumerate(rows):
            if other != here and row[here]:
                factor = row[here]
                rows[other] = [a - factor * b for a, b in zip(row, own, strict=True)]
                rows[other][here] = -factor / pivot
        own[here] = 1 / pivot
    return rows, sorted(kept)
