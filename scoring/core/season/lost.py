"""Where a member's points go: by pair, by size of the cut, by category; and placing against reasons. Pure.

What a placing loses is parted exactly among the cuts of its class: a cut is lost once for each two animals that stand
on either side of it in the official placing and were put the other way round. Official 3-2-1-4 with cuts 2, 8, 2 and
the card 4231: four such pairs in all (3 over 2, 3 over 4, 2 over 4, 1 over 4) cross the top cut twice (-4), the middle
cut twice (-16) and the bottom cut three times (-6), so 26 are lost, as the grid has it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from scoring.core.binomial import exact_interval

CLOSE_CUT, MODERATE_CUT = 3, 5
"""The largest cut of a close pair, and of a moderate one; beyond, a pair is very easy (Colorado State fact sheet
1.619: 1 to 3, 4 and 5, 6 to 8)."""
CLOSE, MODERATE, EASY = "close", "moderate", "easy"
SIZES = (CLOSE, MODERATE, EASY)


@dataclass(frozen=True, slots=True)
class Placed:
    """A class as a member placed it. `placing` is empty where there was no card that could be read; `points` are what
    it scored. `others` is the mean score of everybody else who placed it, None where they were too few to say.

    `reasons` are the member's points for reasons on it, None without; `other_reasons` as `others`.
    """

    category: str
    official: str
    cuts: tuple[int, ...]
    perfect: int
    placing: str
    points: int
    others: Fraction | None = None
    reasons: Fraction | None = None
    other_reasons: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Lost:
    """Of pairs of a kind: how many neighbours there were, how many were put the other way round, and how many points
    their cuts cost in all. `low` and `high` hold the true share of lost ones in 95 of 100 such seasons."""

    key: Hashable
    pairs: int
    lost: int
    points: int

    @property
    def percent(self) -> int:
        return round(Fraction(100 * self.lost, self.pairs))

    @property
    def between(self) -> tuple[int, int]:
        """The interval of the share, in per cent."""
        low, high = exact_interval(self.lost, self.pairs)
        return round(100 * low), round(100 * high)


@dataclass(frozen=True, slots=True)
class CategoryMean:
    """What a category's classes scored on the mean, of so many classes; `ahead` is by how much that is more than the
    others had on those of the classes of which that is known, None where it is of none."""

    category: str
    classes: int
    mean: Fraction
    ahead: Fraction | None


@dataclass(frozen=True, slots=True)
class ReasonsMean:
    """Classes with reasons: the mean of the reasons, and of the placing scores on the same classes; and each against
    the others', None where they are not known."""

    sets: int
    reasons: Fraction
    placing: Fraction
    reasons_ahead: Fraction | None
    placing_ahead: Fraction | None


def cut_losses(official: str, cuts: Sequence[int], placing: str) -> tuple[int, ...]:
    """What each cut cost a placing, the top cut first; together all that it lost."""
    place = {animal: at for at, animal in enumerate(placing)}
    lost = [0] * len(cuts)
    for above in range(len(official)):
        for below in range(above + 1, len(official)):
            if place[official[above]] > place[official[below]]:
                for at in range(above, below):
                    lost[at] += cuts[at]
    return tuple(lost)


def by_pair(placed: Iterable[Placed], animals: int = 4) -> list[Lost]:
    """The neighbouring pairs of all classes of so many animals, the top pair first, as (animals, place)."""
    return _summed((one for one in placed if len(one.official) == animals), lambda place, cut: (animals, place))


def by_size(placed: Iterable[Placed]) -> list[Lost]:
    """The neighbouring pairs of all classes by the size of their cuts, close ones first. A cut of 0 is nobody's loss
    and left out."""
    found = {lost.key: lost for lost in _summed(placed, lambda place, cut: size_of(cut) if cut else None)}
    return [found[size] for size in SIZES if size in found]


def size_of(cut: int) -> str:
    return CLOSE if cut <= CLOSE_CUT else MODERATE if cut <= MODERATE_CUT else EASY


def _summed(placed: Iterable[Placed], key_of: Callable[[int, int], Hashable]) -> list[Lost]:
    counts: dict[Hashable, list[int]] = defaultdict(lambda: [0, 0, 0])
    for one in placed:
        if not one.placing:
            continue
        costs = cut_losses(one.official, one.cuts, one.placing)
        for place, (above, below) in enumerate(pairwise(one.official)):
            key = key_of(place, one.cuts[place])
            if key is not None:
                turned = one.placing.index(above) > one.placing.index(below)
                for at, more in enumerate((1, turned, costs[place])):
                    counts[key][at] += more
    return [Lost(key, *counts[key]) for key in sorted(counts, key=str)]


def by_category(placed: Iterable[Placed]) -> list[CategoryMean]:
    """The categories by name, each with what its classes scored; classes of no category under an empty name."""
    groups: dict[str, list[Placed]] = defaultdict(list)
    for one in placed:
        groups[one.category].append(one)
    return [
        CategoryMean(
            name,
            len(some),
            mean([Fraction(one.points) for one in some]),
            _ahead((one.points, one.others) for one in some),
        )
        for name, some in sorted(groups.items())
    ]


def placing_and_reasons(placed: Iterable[Placed]) -> ReasonsMean | None:
    """Both sides of the classes with reasons; None where there is none."""
    both = [(one, one.reasons) for one in placed if one.reasons is not None]
    if not both:
        return None
    return ReasonsMean(
        sets=len(both),
        reasons=mean([points for _one, points in both]),
        placing=mean([Fraction(one.points) for one, _points in both]),
        reasons_ahead=_ahead((points, one.other_reasons) for one, points in both),
        placing_ahead=_ahead((one.points, one.others) for one, _points in both),
    )


def _ahead(rows: Iterable[tuple[Fraction | int, Fraction | None]]) -> Fraction | None:
    known = [own - others for own, others in rows if others is not None]
    return mean(known) if known else None


def mean(values: Sequence[Fraction]) -> Fraction:
    return sum(values, Fraction(0)) / len(values)
