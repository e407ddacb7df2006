"""How a crowd places a class, as probabilities of the 24 placings: what `mixups` asks of stacks and keys.

An animal's rank in a placing is counted from the middle: 1.5 for the first, -1.5 for the last. What a placing scores
grows with the sum, over the animals, of rank times worth, where worth is how far the cuts set an animal off. So the
plainest crowd that is better than blind places with probability proportional to exp(sharpness * that sum), and
sharpness is what gives all cards of the contest the points that they have together. A crowd may see a class otherwise
than its official. Then other pulls stand for sharpness times worth: those that its cards say, held to what the key says
as by a normal distribution with variance LOOSENESS. FLOOR of the cards may be anything, so that no card decides much by
itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import exp, log
from operator import mul
from typing import TypeAlias

from scoring.core.placing import ANIMALS, PERFECT, PLACINGS, grid

FLOOR = 0.15
LOOSENESS = 0.3
FITTING = 5
"""Steps after which the pulls of a class no longer move by what anybody would see."""

MIDDLE = (len(ANIMALS) - 1) / 2
RANKS = tuple(tuple(MIDDLE - placing.index(animal) for animal in ANIMALS) for placing in PLACINGS)
RANKS_OF_ANIMAL = tuple(zip(*RANKS, strict=True))
SHARPNESSES: list[float] = [0.02 * 1.12**step for step in range(50)]
"""In parts of a point, from blind to never wrong."""

Counts: TypeAlias = Sequence[int]
"""How many gave each of PLACINGS."""

Four: TypeAlias = tuple[float, float, float, float]
"""A number for each animal."""

Cuts: TypeAlias = tuple[int, ...]


@lru_cache(maxsize=1024)
def losses(official: str, cuts: Cuts) -> tuple[int, ...]:
    """What each of PLACINGS loses."""
    points = dict(grid(official, cuts))
    return tuple(PERFECT - points[placing] for placing in PLACINGS)


@lru_cache(maxsize=1024)
def pulls_of_key(official: str, cuts: Cuts, sharpness: float) -> Four:
    """The pulls on the animals' ranks of a crowd that sees them as the official does."""
    worth = {official[0]: 0}
    for above, animal, cut in zip(official, official[1:], cuts, strict=False):
        worth[animal] = worth[above] - cut
    mean = sum(worth.values()) / len(worth)
    one, two, three, four = (sharpness * (worth[animal] - mean) for animal in ANIMALS)
    return one, two, three, four


@lru_cache(maxsize=1024)
def ranks_by_key(official: str, cuts: Cuts, sharpness: float) -> list[float]:
    """The mean rank of each animal in such a crowd."""
    chances = _chances(pulls_of_key(official, cuts, sharpness))
    return [sum(map(mul, chances, ranks)) for ranks in RANKS_OF_ANIMAL]


def sharpness_of(cards: Sequence[tuple[Cuts, Counts, Sequence[int]]]) -> float:
    """How sharply a contest places, of what the cards of each class are and what each of PLACINGS loses in it."""
    lost = sum(sum(map(mul, counts, lost)) for _cuts, counts, lost in cards)
    people = [(cuts, sum(counts)) for cuts, counts, _lost in cards]
    low, high = 0, len(SHARPNESSES) - 1
    while low < high:
        middle = (low + high) // 2
        if sum(count * _expected_loss(cuts, middle) for cuts, count in people) > lost:
            low = middle + 1
        else:
            high = middle
    return SHARPNESSES[low]


@lru_cache(maxsize=16384)
def _expected_loss(cuts: Cuts, step: int) -> float:
    chances = _chances(pulls_of_key(ANIMALS, cuts, SHARPNESSES[step]))
    expected: float = sum(map(mul, chances, losses(ANIMALS, cuts)))
    return expected


def rank_sums(counts: Counts) -> list[float]:
    """For each animal, its ranks on all cards together."""
    return [sum(map(mul, counts, ranks)) for ranks in RANKS_OF_ANIMAL]


class Seen:
    """How a class is seen by those whose cards are known."""

    def __init__(self, by_key: Four, counts: Counts) -> None:
        self._by_key, self._total, self._sums, self._pulls = by_key, sum(counts), rank_sums(counts), by_key
        for _step in range(FITTING):
            self._moments = _moments(self._pulls)
            self._pulls = self._moved(self._total, self._sums)
        self._moments = _moments(self._pulls)

    def log_chances(self, without: Counts = ()) -> list[float]:
        """The logarithm of each placing's probability, by all cards but some."""
        pulls = self._pulls
        if without:
            sums = [ranks - theirs for ranks, theirs in zip(self._sums, rank_sums(without), strict=True)]
            pulls = self._moved(self._total - sum(without), sums)
        even = FLOOR / len(PLACINGS)
        return [log((1 - FLOOR) * chance + even) for chance in _chances(pulls)]

    def _moved(self, total: int, sums: Sequence[float]) -> Four:
        """The pulls, one step nearer to what fits cards with these sums of ranks.

        Newton's step, shortened: ranks of different animals exclude each other, by a third of their spread.
        """
        one, two, three, four = (
            pull + (ranks - total * mean - (pull - key) / LOOSENESS) / (total * spread * 4 / 3 + 1 / LOOSENESS)
            for pull, key, ranks, (mean, spread) in zip(self._pulls, self._by_key, sums, self._moments, strict=True)
        )
        return one, two, three, four


def _moments(pulls: Four) -> list[tuple[float, float]]:
    """The mean and the variance of each animal's rank."""
    chances = _chances(pulls)
    moments = []
    for ranks in RANKS_OF_ANIMAL:
        weighed = list(map(mul, chances, ranks))
        mean = sum(weighed)
        moments.append((mean, sum(map(mul, weighed, ranks)) - mean * mean))
    return moments


def _chances(pulls: Four) -> list[float]:
    one, two, three, four = pulls
    powers = [one * a + two * b + three * c + four * d for a, b, c, d in RANKS]
    most = max(powers)
    weights = [exp(power - most) for power in powers]
    total = sum(weights)
    return [weight / total for weight in weights]
