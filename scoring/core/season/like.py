"""Which classes are like those that somebody loses pairs in. Pure.

Of each neighbouring pair of a class it is asked how often the member lost pairs of that place, and pairs of that size
of cut; the mean of both shares, over the class's pairs, is how much it is like what they miss. Each share is drawn
towards the share of all pairs by two pairs' worth, so that one lost pair is no pattern (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from scoring.core.season.lost import Lost, Placed, by_pair, by_size, size_of

WORTH = 2


def likeness(placed: Sequence[Placed], cuts: Sequence[int]) -> float | None:
    """From 0, nothing that they miss, to 1; None where the member has lost nothing, or placed no such class."""
    places = by_pair(placed, len(cuts) + 1)
    pairs, lost = sum(one.pairs for one in places), sum(one.lost for one in places)
    if not lost:
        return None
    usual = lost / pairs
    of_size = {one.key: _share(one, usual) for one in by_size(placed)}
    of_place = [_share(one, usual) for one in places]
    return fmean(
        (of_place[at] + (of_size.get(size_of(cut), usual) if cut else usual)) / 2 for at, cut in enumerate(cuts)
    )


def _share(some: Lost, usual: float) -> float:
    return (some.lost + WORTH * usual) / (some.pairs + WORTH)
