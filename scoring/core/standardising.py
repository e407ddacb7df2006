"""Standardised reasons: what each official gave, brought to the mean and the spread of all officials together.

Only where the contest's rules order it (`Rules.reasons_standardised`). A score keeps its distance from the mean of its
official, measured in that official's standard deviations, and is set off as far from the mean of all scores, measured
in the standard deviation of all scores. It stays within 0 and 50 points, and is rounded to hundredths, half up.

Worked example: A gave 30, 34 and 38 (mean 34, deviation 4), B gave 44, 46 and 48 (mean 46, deviation 2). All six have
mean 40 and deviation square root of 51.2, 7.155... So A's 38 and B's 48, each one deviation above its official's mean,
both become 47.16; A's 34 and B's 46 become 40; A's 30 and B's 44 become 32.84.

Who gave one score only has shown no spread and no mean to go by: that score stays as it was given. Who gave everybody
alike gets the mean of all. Scores that count for nobody, of a void class or of a contestant who does not count, stay as
they are and take no part.

The figures are exact: means and variances are fractions, and the root is taken of whole numbers, so that every machine
comes to the same hundredth.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt, lcm

from scoring.core.record import HUNDREDTHS, MOST_REASONS, ReasonsScore, Record

MOST = MOST_REASONS * HUNDREDTHS


@dataclass(frozen=True, slots=True)
class _Spread:
    """The mean and the variance, with one less than their number for a divisor, of some scores; in hundredths."""

    mean: Fraction
    variance: Fraction

    @classmethod
    def of(cls, points: Sequence[int]) -> _Spread:
        many, total = len(points), sum(points)
        squares = sum(point * point for point in points)
        return cls(Fraction(total, many), Fraction(many * squares - total * total, many * (many - 1)))


def counting_reasons(record: Record) -> Sequence[ReasonsScore]:
    """The reasons scores as they count: as they were given, unless the contest's rules standardise them."""
    return standardised(record) if record.rules.reasons_standardised else record.reasons


def standardised(record: Record) -> tuple[ReasonsScore, ...]:
    """The reasons scores of a record, standardised, in step with `record.reasons`, which stays as it is."""
    void = record.void
    here = {contestant.number: contestant.division for contestant in record.contestants if contestant.present}

    def counts(class_number: int, number: int) -> bool:
        return number in here and (class_number, here[number]) not in void

    of: defaultdict[str, list[int]] = defaultdict(list)
    for class_number, number, official, hundredths in record.reasons:
        if counts(class_number, number):
            of[official].append(hundredths)
    own = {official: _Spread.of(scores) for official, scores in of.items() if len(scores) > 1}
    if not own:
        return record.reasons
    every = _Spread.of([hundredths for scores in of.values() for hundredths in scores])
    known: dict[tuple[str, int], int] = {}  # officials give the same score many times

    def brought_in_line(score: ReasonsScore) -> ReasonsScore:
        class_number, number, official, hundredths = score
        if official not in own or not counts(class_number, number):
            return score
        key = official, hundredths
        if key not in known:
            known[key] = _rescaled(hundredths, own[official], every)
        return ReasonsScore(class_number, number, official, known[key])

    return tuple(map(brought_in_line, record.reasons))


def _rescaled(hundredths: int, own: _Spread, every: _Spread) -> int:
    """every.mean + (hundredths - own.mean) x root of (every.variance / own.variance), rounded, within the limits."""
    distance = hundredths - own.mean
    square = distance**2 * every.variance / own.variance if own.variance else Fraction(0)
    middle = every.mean + Fraction(1, 2)
    # (A +- root of N) / D with whole A, N and D; its floor needs no more than the whole root.
    below = lcm(middle.denominator, square.denominator)
    above = middle.numerator * (below // middle.denominator)
    under_the_root = square.numerator * square.denominator * (below // square.denominator) ** 2
    root = isqrt(under_the_root)
    if distance < 0:
        root = -root if root * root == under_the_root else -root - 1
    return min(max((above + root) // below, 0), MOST)
