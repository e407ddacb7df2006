"""What a group that practises can learn from a class: how it put each pair, and what one switch would have changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise

from scoring.core.misreads import neighbours_exchanged
from scoring.core.placing import PERFECT, animals_of, score
from scoring.core.record import MOST_REASONS

MOST_CLASSES = 40
"""That a practice has."""
MOST_MINUTES = 120
"""That a class of a practice may be set to take."""
MOST_REASONS_MINUTES = 10
"""That a set of reasons may be set to take."""
ASPECTS = ("accuracy", "delivery", "terms", "organisation")
"""What a set of reasons is practised and scored on; published scorecards of reasons name these among their criteria."""
MOST_MARK = 10
"""That a set is given for any of them."""
WEIGHTS = (4, 2, 2, 2)
"""How much each counts unless the coach says otherwise: common practice, no source. Local rules come first."""
VIEWS = ("side", "rear", "front")
"""From where a picture shows an animal."""


@dataclass(frozen=True, slots=True)
class PairSplit:
    """Two animals, in the order of their labels, and how many placed each of them above the other."""

    first: str
    second: str
    first_above: int
    second_above: int


@dataclass(frozen=True, slots=True)
class Switch:
    """What a placing would have been, and scored, had its neighbours `above` and `below` changed places; `gained` is
    how many points more than as it stands, below 0 where it would have cost some."""

    above: str
    below: str
    placing: str
    score: int
    gained: int


def set_points(marks: Sequence[int], weights: Sequence[int]) -> Fraction:
    """What a set comes to, of 50 points as reasons have, by its marks of 0 to 10 for each of ASPECTS.

    Accuracy 8, delivery 7, terms 9 and organisation 8 with weights 4, 2, 2, 2 are 80 of 100, so 40 of 50. Raises
    ValueError where no aspect counts.
    """
    if not any(weights):
        raise ValueError("at least one aspect must count")
    weighed = sum(mark * weight for mark, weight in zip(marks, weights, strict=True))
    return Fraction(MOST_REASONS * weighed, MOST_MARK * sum(weights))


def pair_splits(animals: str, placings: Iterable[str]) -> tuple[PairSplit, ...]:
    """How a group put each two animals of a class; it needs no official placing, and tells nothing of one."""
    given = tuple(placings)
    splits = []
    for first, second in combinations(sorted(animals), 2):
        above = sum(placing.index(first) < placing.index(second) for placing in given)
        splits.append(PairSplit(first, second, above, len(given) - above))
    return tuple(splits)


def pair_table(animals: str, placings: Iterable[str]) -> tuple[tuple[str, tuple[int | None, ...]], ...]:
    """The same as a table: for each animal, in the order of the labels, how many placed it above each of them; None
    above itself."""
    given, labels = tuple(placings), sorted(animals)
    return tuple(
        (
            upper,
            tuple(
                None if lower == upper else sum(placing.index(upper) < placing.index(lower) for placing in given)
                for lower in labels
            ),
        )
        for upper in labels
    )


def with_the_official(official: str, placings: Iterable[str]) -> tuple[int, ...]:
    """Of each neighbouring pair of the official placing, the best first, how many put it as the officials did."""
    given = tuple(placings)
    return tuple(
        sum(placing.index(above) < placing.index(below) for placing in given) for above, below in pairwise(official)
    )


def switches(official: str, cuts: Sequence[int], placing: str, perfect: int = PERFECT) -> tuple[Switch, ...]:
    """What switching each neighbouring pair of a placing would have come to, its top pair first.

    One switch moves a single pair, so it changes the score by the cuts between those two in the official placing.
    Raises ValueError when the official placing, the cuts or the placing are impossible.
    """
    animals = animals_of(official)
    as_it_stands = score(official, cuts, placing, perfect, animals)
    made = []
    for place, other in enumerate(neighbours_exchanged(placing)):
        points = score(official, cuts, other, perfect, animals)
        made.append(Switch(placing[place], placing[place + 1], other, points, points - as_it_stands))
    return tuple(made)


def best_switch(official: str, cuts: Sequence[int], placing: str, perfect: int = PERFECT) -> Switch | None:
    """The switch that would have gained the most, the upper pair's where two would have; None where none gains.

    Raises ValueError as `switches` does.
    """
    best = max(switches(official, cuts, placing, perfect), key=lambda switch: switch.gained)
    return best if best.gained > 0 else None
