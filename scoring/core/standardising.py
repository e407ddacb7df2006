"""Standardised reasons: what each official gave, brought to the mean and the spread of all officials together.

Only where the contest's rules order it (`Rules.reasons_standardised`). A score keeps its distance from the mean of its
official, measured in that official's standard deviations, and is set off as far from the mean of all scores, measured
in the standard deviation of all scores. It stays within 0 and 50 points, and is rounded to hundredths, half up.

Worked example: A gave eight sets: four 30 and four 38 (mean 34, variance 128/7). B gave four 44 and four 48 (mean 46,
variance 32/7). All sixteen have mean 40 and variance 736/15. So A's 38, which is the root of 7/8 deviations above A's
mean, and B's 48, which is as far above B's, both become 46.55; A's 30 and B's 44 become 33.45.

Who gave fewer than LEAST_SETS has not shown a mean and a spread to go by: those scores stay as they were given (in
simulated contests of officials of 4 to 48 sets each, standardising moved contestants further from what they earned the
fewer sets there were). Who gave everybody alike gets the mean of all. Scores that count for nobody, of a void class or
of a contestant who does not count, stay as they are and take no part.

The figures are exact: means and variances are fractions, and the root is taken of whole numbers, so that every machine
comes to the same hundredth.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt, lcm

from scoring.core.record import HUNDREDTHS, MOST_REASONS, ReasonsScore, Record

MOST = MOST_REASONS * HUNDREDTHS

LEAST_SETS = 8
"""Scores of one official below which they are not standardised."""


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


def standardised(record: Record, least_sets: int = LEAST_SETS) -> tuple[ReasonsScore, ...]:
    """The reasons scores of a record, standardised, in step with `record.reasons`, which stays as it is.

    `least_sets` is another number only to see what would become of fewer; it must be at least 2.
    """
    counts, of = _counting(record)
    own = {official: _Spread.of(scores) for official, scores in of.items() if len(scores) >= least_sets}
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


def too_few_sets(record: Record) -> dict[str, int]:
    """Officials whose scores the rule leaves as they were given, with how many sets they heard that count; by name.
    Empty where the rules standardise nothing."""
    if not record.rules.reasons_standardised:
        return {}
    heard = {official: len(scores) for official, scores in sorted(_counting(record)[1].items())}
    return {official: sets for official, sets in heard.items() if sets < LEAST_SETS}


def is_standardising(record: Record) -> bool:
    """Whether any score counts standardised: the rules order it, and an official gave enough of them."""
    return record.rules.reasons_standardised and any(
        len(scores) >= LEAST_SETS for scores in _counting(record)[1].values()
    )


def _counting(record: Record) -> tuple[Callable[[int, int], bool], dict[str, list[int]]]:
    """Whether a score counts, by class and contestant; and those of each official that do, in hundredths."""
    void = record.void
    here = {contestant.number: contestant.division for contestant in record.contestants if contestant.present}

    def counts(class_number: int, number: int) -> bool:
        return number in here and (class_number, here[number]) not in void

    of: defaultdict[str, list[int]] = defaultdict(list)
    for class_number, number, official, hundredths in record.reasons:
        if counts(class_number, number):
            of[official].append(hundredths)
    return counts, of


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
