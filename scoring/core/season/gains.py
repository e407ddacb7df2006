"""How a member comes along over a season, with how sure that is. Pure.

What is followed is by how many points a class a member is ahead of the others who placed the same classes, so that a
hard class is nobody's step back; a slope of 0 keeps pace with them. A line through a few points of one member says
little, so all members of the club are looked at together, and each slope is drawn towards the club's own mean as far as
it is uncertain (a hierarchical, also called mixed, model; empirical Bayes where its spread is taken as known).

1. Of each member with three days or more, a line by least squares, each day weighted by its classes: its slope `s`, and
   what is left over. What is left over of all members together tells `sigma`, a class's scatter about its line, and
   `s` then scatters about the true slope with the variance `v` = sigma^2 / Sxx.
2. True slopes are taken to be normal about a mean `mu` with the spread `tau`. Of `mu` nothing is assumed; of `sigma`
   that its logarithm may be anything; of `tau` that it is half-normal with PRIOR_SPREAD, which leaves room for any
   spread that could be seen at a club. For known `sigma` and `tau` a slope is then normal about
   s - B (s - mu), with B = v / (v + tau^2), and has the variance v (1 - B) + B^2 / sum(1 / (v + tau^2)).
3. `sigma` and `tau` are not taken as known: the answer is the mixture over a grid of both, weighted by how likely
   they make all that was seen. So an interval of few members is as wide as it must be.

Gelman and others, Bayesian Data Analysis, chapter 5 (the model); Lindley and Smith, Journal of the Royal Statistical
Society B 1972. Figures are floats: they describe, and rank nobody.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from math import erf, exp, fsum, log, sqrt

FEWEST_DAYS = 3
FEWEST_MEMBERS = 3
DAYS_A_MONTH = 365.25 / 12
PRIOR_SPREAD = 2.0
"""Points a class a month; beyond twice as much, one member of three would gain half of all there is in a season."""
ROUNDING = 1 / 12
"""The least variance of a class: scores are whole points."""
INSIDE = 0.95
_SIGMAS, _TAUS, _MOST_TAU = 14, 20, 3.5


@dataclass(frozen=True, slots=True)
class Day:
    """How far a member was ahead on one day, on the mean over so many classes, in points a class."""

    day: int
    ahead: float
    classes: int


@dataclass(frozen=True, slots=True)
class Slope:
    """Points a class that a member gains on the others in a month: the middle and the ends of the 95 % interval; the
    chance that it is above 0; and the slope of their own line alone, which is shown to nobody as theirs."""

    days: int
    mean: float
    low: float
    high: float
    above: float
    alone: float

    @property
    def is_sure(self) -> bool:
        """Whether the interval leaves out 0."""
        return self.low > 0 or self.high < 0


@dataclass(frozen=True, slots=True)
class _Line:
    slope: float
    spread: float  # Sxx
    left_over: float
    free: int


def slopes(club: Mapping[Hashable, Sequence[Day]]) -> dict[Hashable, Slope]:
    """The slope of each member with three days or more; of nobody, where fewer than three members have as many."""
    lines = {who: line for who, days in club.items() if (line := _line(days))}
    if len(lines) < FEWEST_MEMBERS:
        return {}
    grid = _grid(list(lines.values()))
    return {who: _slope(len({day.day for day in club[who]}), line, grid) for who, line in lines.items()}


def _line(days: Sequence[Day]) -> _Line | None:
    if len({day.day for day in days}) < FEWEST_DAYS:
        return None
    weights = fsum(day.classes for day in days)
    middle = fsum(day.classes * day.day for day in days) / weights
    level = fsum(day.classes * day.ahead for day in days) / weights
    at = [((day.day - middle) / DAYS_A_MONTH, day.ahead - level, day.classes) for day in days]
    spread = fsum(weight * x * x for x, _y, weight in at)
    slope = fsum(weight * x * y for x, y, weight in at) / spread
    left_over = fsum(weight * (y - slope * x) ** 2 for x, y, weight in at)
    return _Line(slope, spread, left_over, len(days) - 2)


@dataclass(frozen=True, slots=True)
class _Node:
    """A `sigma` and a `tau` that may be, how likely, and the mean slope with its variance if they are."""

    weight: float
    variance: float  # sigma squared
    between: float  # tau squared
    mean: float
    mean_variance: float


def _grid(lines: list[_Line]) -> list[_Node]:
    free = sum(line.free for line in lines)
    left_over = max(fsum(line.left_over for line in lines), ROUNDING * free)
    deviation = sqrt(2 / free)  # of the logarithm of sigma squared, about
    nodes, logs = [], []
    for step in range(_SIGMAS):
        variance = left_over / free * exp(deviation * (-3.5 + 9 * (step + 0.5) / _SIGMAS))
        of_sigma = -free / 2 * log(variance) - left_over / (2 * variance)
        for place in range(_TAUS):
            u = (place + 0.5) / _TAUS  # closer together near 0
            tau = _MOST_TAU * PRIOR_SPREAD * u * u
            node, of_slopes = _node(lines, variance, tau * tau)
            nodes.append(node)
            logs.append(of_sigma + of_slopes - tau * tau / (2 * PRIOR_SPREAD**2) + log(u))
    most = max(logs)
    weights = [exp(one - most) for one in logs]
    total = fsum(weights)
    return [
        _Node(weight / total, node.variance, node.between, node.mean, node.mean_variance)
        for weight, node in zip(weights, nodes, strict=True)
        if weight / total > 1e-6
    ]


def _node(lines: list[_Line], variance: float, between: float) -> tuple[_Node, float]:
    """With the logarithm of how likely it makes the slopes, whatever their mean."""
    worth = [1 / (variance / line.spread + between) for line in lines]
    total = fsum(worth)
    mean = fsum(one * line.slope for one, line in zip(worth, lines, strict=True)) / total
    apart = fsum(one * (line.slope - mean) ** 2 for one, line in zip(worth, lines, strict=True))
    likely = (fsum(map(log, worth)) - log(total) - apart) / 2
    return _Node(0, variance, between, mean, 1 / total), likely


def _slope(days: int, line: _Line, grid: list[_Node]) -> Slope:
    parts = []
    for node in grid:
        own = node.variance / line.spread
        pull = own / (own + node.between)
        middle = line.slope - pull * (line.slope - node.mean)
        parts.append((node.weight, middle, sqrt(own * (1 - pull) + pull * pull * node.mean_variance)))
    mean = fsum(weight * middle for weight, middle, _deviation in parts)
    wide = max(deviation for _weight, _middle, deviation in parts) + max(abs(m - mean) for _w, m, _d in parts)
    tail = (1 - INSIDE) / 2
    low, high = (_where(parts, share, mean, 8 * wide) for share in (tail, 1 - tail))
    return Slope(days, mean, low, high, 1 - _below(parts, 0.0), line.slope)


_Parts = list[tuple[float, float, float]]


def _where(parts: _Parts, share: float, middle: float, reach: float) -> float:
    """Below which so much of the mixture lies."""
    low, high = middle - reach, middle + reach
    for _step in range(26):
        at = (low + high) / 2
        low, high = (at, high) if _below(parts, at) < share else (low, at)
    return (low + high) / 2


def _below(parts: _Parts, at: float) -> float:
    return fsum(weight * (1 + erf((at - middle) / (deviation * sqrt(2)))) / 2 for weight, middle, deviation in parts)
