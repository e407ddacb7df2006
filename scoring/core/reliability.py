"""How far the placing scores of a contest tell its contestants apart, in figures that statistics knows. Pure.

A contest is a test, and its classes are the questions of it. These figures describe one, they rank nobody; so they are
floats, unlike all that counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist, correlation, fmean, variance

FEWEST_PEOPLE, FEWEST_CLASSES = 5, 2
SURE = 0.95
GOAL = 0.8
"""What is asked of a test by which people are ranked (Nunnally, Psychometric Theory, 1978; from memory)."""

Table = Sequence[Sequence[float]]
"""Scores: a row for each class, in each row a score for each contestant."""


@dataclass(frozen=True, slots=True)
class Reliability:
    """What a division's classes are worth as a test.

    `alpha` is Cronbach's (Psychometrika 1951), which is also the coefficient of generalizability for ranks; `low` and
    `high` hold it in 95 of 100 such contests (Bonett, Journal of Educational and Behavioral Statistics 2002).
    `dependability` is Brennan's index for the scores themselves, which also feels that classes are not equally hard.
    `error` is the standard error of a total, in points.
    """

    people: int
    classes: int
    alpha: float
    low: float
    high: float
    dependability: float
    error: float

    @property
    def tells_apart(self) -> float:
        """By how many points two totals must differ to be so in 95 of 100 repetitions of the contest."""
        return NormalDist().inv_cdf((1 + SURE) / 2) * sqrt(2) * self.error

    @property
    def classes_for_goal(self) -> int | None:
        """How many such classes reach an alpha of 0.8 (Spearman and Brown 1910); None where no number would."""
        if self.alpha <= 0:
            return None
        longer = GOAL * (1 - self.alpha) / (self.alpha * (1 - GOAL))
        return max(FEWEST_CLASSES, -int(-longer * self.classes // 1))


def reliability(scores: Table) -> Reliability | None:
    """The reliability of these classes; None for too few people or classes, or where all did alike."""
    classes, people = len(scores), len(scores[0]) if scores else 0
    if classes < FEWEST_CLASSES or people < FEWEST_PEOPLE:
        return None
    totals = [sum(column) for column in zip(*scores, strict=True)]
    spread = variance(totals)
    if not spread:
        return None
    alpha = classes / (classes - 1) * (1 - sum(map(variance, scores)) / spread)
    low, high = _interval(alpha, classes, people)
    return Reliability(
        people, classes, alpha, low, high, _dependability(scores, alpha), sqrt(spread * max(0.0, 1 - alpha))
    )


def _interval(alpha: float, classes: int, people: int) -> tuple[float, float]:
    if alpha >= 1:
        return 1, 1
    deviation = sqrt(2 * classes / ((classes - 1) * (people - 2)))
    reach = NormalDist().inv_cdf((1 + SURE) / 2) * deviation
    return 1 - exp(log(1 - alpha) + reach), 1 - exp(log(1 - alpha) - reach)


def _dependability(scores: Table, alpha: float) -> float:
    """The share of the people in the variance of a mean over classes, from the mean squares of people by classes."""
    classes, people = len(scores), len(scores[0])
    of_people = classes * variance([fmean(column) for column in zip(*scores, strict=True)])
    of_classes = people * variance([fmean(row) for row in scores])
    rest = of_people * (1 - alpha)  # as alpha is 1 less their quotient
    true = max(0.0, (of_people - rest) / classes)
    hardness = max(0.0, (of_classes - rest) / people)
    return true / (true + (hardness + rest) / classes) if true else 0.0


def separation(scores: Table, place: int) -> float | None:
    """How a class goes with the sum of the others: the item-rest correlation; None where either is all alike."""
    rest = [sum(column) - column[place] for column in zip(*scores, strict=True)]
    if len(scores) < FEWEST_CLASSES or len(rest) < FEWEST_PEOPLE:
        return None
    if len(set(rest)) == 1 or len(set(scores[place])) == 1:
        return None
    return correlation(scores[place], rest)
