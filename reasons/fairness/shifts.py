"""Is one room harder than another? What each official gave, and how it compares with what the others gave.

Contestants are not equally good, so an official's mean says little. The shift does: every score is taken to be the
contestant's own level, plus the official's shift, plus chance, and the shifts are estimated by least squares from
the contestants whom several officials heard (a two-way additive model). A shift is given against the mean of the other
officials, with its standard error and the interval that holds the true shift 95 times in 100.

Worked example: A and B both hear 101 (40 and 44) and 102 (35 and 37). B gave 4 and 2 more, 3 on average; so A's shift
is -3, B's is 3. What is left over, 1/2 a point each way, gives the standard error of 1 and, with one degree of freedom,
an interval of 12.7 points each way: two contestants tell next to nothing.

An official who keeps to one class is measured with that class: a class on which everybody speaks well looks like a mild
official. Nothing here changes a score. These are statistics, so they are floats; scores are not.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist, correlation, fmean
from typing import NamedTuple

from scoring.core.points import as_figure
from scoring.core.texts import gettext as _
from scoring.core.texts import ngettext

CLOSE_ENOUGH = 2.0
"""Points: a shift that is certainly smaller than this is no reason to act."""

FEW = 5
"""Contestants in common with others below which a comparison is only a hint."""


class Heard(NamedTuple):
    """What `by`, an official or a room, gave a contestant, in points."""

    by: str
    number: int
    points: float


@dataclass(frozen=True, slots=True)
class Shift:
    """How much more points one gives than the others would to the same contestants, with the standard error, the 95 %
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


@dataclass(frozen=True, slots=True)
class Figures:
    """What one official or room gave.

    `spread` is the standard deviation. `in_common` counts the contestants whom others heard too; `with_others` is the
    mean difference from the others on them. `placing` is the mean placing score of the contestants heard, to be
    compared with everybody's, and `agreement` the correlation of the points with it. None where it cannot be said.
    `even`: everybody was heard by the same, equally often, so that no shift favours anybody.
    """

    by: str
    sets: int
    mean: float
    spread: float | None
    least: float
    most: float
    in_common: int
    with_others: float | None
    placing: float | None
    agreement: float | None
    shift: Shift | None
    even: bool = False

    @property
    def range(self) -> float:
        return self.most - self.least


def figures(heard: Sequence[Heard], placing: Mapping[int, float] | None = None) -> list[Figures]:
    """The figures of everybody who heard a set, by name. `placing` holds contestants' placing scores."""
    placing = placing or {}
    of: defaultdict[str, list[Heard]] = defaultdict(list)
    for score in heard:
        of[score.by].append(score)
    contestants = _by_contestant(heard)
    shift_of = _shifts(contestants)
    differences = _with_others(contestants)
    even = len({_heard_by(scores) for scores in contestants}) == 1
    return [_figures(by, of[by], placing, differences[by], shift_of[by], even) for by in sorted(of)]


def _by_contestant(heard: Iterable[Heard]) -> list[list[Heard]]:
    """What each contestant was given, in the order of who gave it."""
    of: defaultdict[int, list[Heard]] = defaultdict(list)
    for score in sorted(heard):
        of[score.number].append(score)
    return list(of.values())


def _heard_by(scores: Iterable[Heard]) -> tuple[str, ...]:
    """Who heard a contestant, as often as they did: with many contestants there are few such answers."""
    return tuple([score.by for score in scores])


def _figures(
    by: str, own: list[Heard], placing: Mapping[int, float], differences: list[float], shift: Shift | None, even: bool
) -> Figures:
    points = [score.points for score in own]
    placed = [(score.points, placing[score.number]) for score in own if score.number in placing]
    numbers = {score.number for score in own} & placing.keys()
    return Figures(
        by=by,
        sets=len(points),
        mean=fmean(points),
        spread=spread(points),
        least=min(points),
        most=max(points),
        in_common=len(differences),
        with_others=fmean(differences) if differences else None,
        placing=fmean(placing[number] for number in numbers) if numbers else None,
        agreement=_correlation(placed),
        shift=shift,
        even=even,
    )


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


def _with_others(contestants: Iterable[list[Heard]]) -> dict[str, list[float]]:
    """For each one and each contestant whom others heard too: their mean less the others' mean."""
    pairs: defaultdict[str, list[float]] = defaultdict(list)
    for scores in contestants:
        given: defaultdict[str, list[float]] = defaultdict(list)
        for score in scores:
            given[score.by].append(score.points)
        everything = sum([score.points for score in scores])
        for by, own in given.items():
            if others := len(scores) - len(own):
                pairs[by].append(sum(own) / len(own) - (everything - sum(own)) / others)
    return pairs


def shifts(heard: Sequence[Heard]) -> dict[str, Shift | None]:
    """Everybody's shift against the mean of the others; None for one who shares no contestant with anybody, or where
    nothing is left to estimate chance from.

    Contestants are eliminated first: with n(i,j) scores of contestant i by official j and n(i) in all, the officials'
    equations are C a = q, where C = diag(sums over i) - sum over i of n(i,j) n(i,k) / n(i), and q is what each gave
    less the means of the contestants they gave it to. C adds up to 0 in every group of officials that contestants link,
    so each group is solved by itself with shifts that add up to 0.
    """
    return _shifts(_by_contestant(heard))


def _shifts(contestants: Sequence[list[Heard]]) -> dict[str, Shift | None]:
    estimated: dict[str, Shift | None] = {}
    for group in _linked(contestants):
        theirs = [scores for scores in contestants if scores[0].by in group]
        estimated |= _shifts_of_group(sorted(group), theirs) if len(group) > 1 else dict.fromkeys(group)
    return estimated


def _linked(contestants: Iterable[list[Heard]]) -> list[set[str]]:
    """Groups of officials whom contestants in common link."""
    groups: list[set[str]] = []
    for officials in {_heard_by(scores) for scores in contestants}:
        touching = [group for group in groups if not group.isdisjoint(officials)]
        groups = [group for group in groups if group.isdisjoint(officials)]
        groups.append(set(officials).union(*touching))
    return groups


def _shifts_of_group(officials: list[str], contestants: Sequence[list[Heard]]) -> dict[str, Shift | None]:
    place = {by: index for index, by in enumerate(officials)}
    many = len(officials)
    freedom = sum(map(len, contestants)) - len(contestants) - (many - 1)
    if freedom < 1:
        return dict.fromkeys(officials)
    matrix = [[1 / many] * many for _ in officials]  # what makes C invertible without changing shifts that add up to 0
    for heard_by, times in Counter(map(_heard_by, contestants)).items():
        for by in heard_by:
            here = place[by]
            matrix[here][here] += times
            for other in heard_by:
                matrix[here][place[other]] -= times / len(heard_by)
    wanted = dict.fromkeys(officials, 0.0)
    for scores in contestants:
        mean = sum([score.points for score in scores]) / len(scores)
        for score in scores:
            wanted[score.by] += score.points - mean
    inverse = _inverse(matrix)
    effect = {
        by: sum(row[place[other]] * wanted[other] for other in officials)
        for by, row in zip(officials, inverse, strict=True)
    }
    left_over = 0.0
    for scores in contestants:
        bare = [score.points - effect[score.by] for score in scores]
        level = sum(bare) / len(bare)
        left_over += sum([(value - level) ** 2 for value in bare])
    against_others = many / (many - 1)
    quantile = t_quantile(freedom)
    estimated: dict[str, Shift | None] = {}
    for by, here in place.items():
        points = effect[by] * against_others
        variance = max(0.0, inverse[here][here] - 1 / many) * left_over / freedom
        error = math.sqrt(variance) * against_others
        estimated[by] = Shift(points, error, points - quantile * error, points + quantile * error, freedom)
    return estimated


def _inverse(matrix: list[list[float]]) -> list[list[float]]:
    """Gauss and Jordan's, with the largest pivot; for the few officials of a contest."""
    size = len(matrix)
    rows = [[*row, *(float(here == other) for other in range(size))] for here, row in enumerate(matrix)]
    for column in range(size):
        pivot = max(range(column, size), key=lambda row: abs(rows[row][column]))
        rows[column], rows[pivot] = rows[pivot], rows[column]
        divisor = rows[column][column]
        rows[column] = [value / divisor for value in rows[column]]
        for row in range(size):
            if row != column and rows[row][column]:
                factor = rows[row][column]
                rows[row] = [a - factor * b for a, b in zip(rows[row], rows[column], strict=True)]
    return [row[size:] for row in rows]


def t_quantile(freedom: int, inside: float = 0.95) -> float:
    """Student's t: between minus this and this lies so much of it. To three digits."""
    upper = (1 + inside) / 2
    if freedom == 1:
        return math.tan(math.pi * (upper - 0.5))
    if freedom == 2:
        return (2 * upper - 1) * math.sqrt(2 / (4 * upper * (1 - upper)))
    z = NormalDist().inv_cdf(upper)
    # Fisher and Cornish's expansion (Abramowitz and Stegun, 26.7.5).
    terms = (
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
        (79 * z**9 + 776 * z**7 + 1482 * z**5 - 1920 * z**3 - 945 * z) / 92160,
    )
    return z + math.fsum(term / freedom**power for power, term in enumerate(terms, start=1))


def verdict(official: Figures) -> str:
    """What the shift of an official or a room means and what can be done, for a superintendent."""
    shift = official.shift
    if shift is None:
        return _("Cannot be compared: too few of these contestants were heard by anybody else.")
    if shift.is_seen:
        return f"{_size(shift)} {_what_to_do(official, shift)}"
    if max(-shift.low, shift.high) <= CLOSE_ENOUGH:
        return _("As the others: a shift, if any, is below {points}.").format(
            points=_points(max(-shift.low, shift.high))
        )
    text = _("No shift shows, but it may be anything from {low} to {high} points.")
    few = " " + _("Few contestants were heard by others too.") if official.in_common < FEW else ""
    return text.format(low=signed(shift.low), high=signed(shift.high)) + few


def _size(shift: Shift) -> str:
    near, far = sorted((abs(shift.low), abs(shift.high)))
    higher = _("Scores about {points} higher than the others on the same contestants (from {near} to {far} higher).")
    lower = _("Scores about {points} lower than the others on the same contestants (from {near} to {far} lower).")
    text = higher if shift.points > 0 else lower
    return text.format(points=_points(abs(shift.points)), near=_decimal(near), far=_decimal(far))


def _what_to_do(official: Figures, shift: Shift) -> str:
    if max(abs(shift.low), abs(shift.high)) < CLOSE_ENOUGH:
        return _("Too little to act on.")
    if official.even:
        return _("Everybody was heard by the same, so it favours nobody. Tell the official for another time.")
    if shift.points > 0:
        return _(
            "Whoever is heard here and not elsewhere has an advantage: talk it over with the official, and let every "
            "official hear every contestant, or change rooms between classes."
        )
    return _(
        "Whoever is heard here and not elsewhere has a disadvantage: talk it over with the official, and let every "
        "official hear every contestant, or change rooms between classes."
    )


def signed(points: float) -> str:
    """With its sign and one decimal, as printed: `+1.6`, `−0.4`, `0.0`."""
    text = f"{points:+.1f}"
    return as_figure("0.0" if text[1:] == "0.0" else text)


def _points(points: float) -> str:
    is_one = f"{points:.1f}" == "1.0"
    return ngettext("{points} point", "{points} points", 1 if is_one else 2).format(points=_decimal(points))


def _decimal(points: float) -> str:
    return as_figure(f"{points:.1f}")
