"""What a member should practise next, by plain rules over what was lost. Pure; `scoring.season` says it in words.

The thresholds are Tanbark's own (common practice, no source): advice is given only of four classes and more, and only
for what cost points at least twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from scoring.core.season.lost import CLOSE, EASY, Lost, Placed, by_category, by_pair, by_size, mean, placing_and_reasons

FEWEST_CLASSES = 4
AT_LEAST_TWICE = 2
BEHIND = 2
"""Points by which a category's mean is lower than that of all classes before it is named."""
APART = 3
"""Points between reasons and placings, each against the others', before one is named."""
MOST = 3

FEW, NOTHING, PAIR, CLOSE_PAIRS, EASY_PAIRS, CATEGORY, REASONS, PLACING = (
    *("few", "nothing", "pair", "close_pairs", "easy_pairs", "category"),
    *("reasons", "placing"),
)


@dataclass(frozen=True, slots=True)
class Advice:
    """What to practise, as a code, what it is about, and by how many points."""

    code: str
    about: int | str = ""
    points: Fraction | int = 0


def what_next(placed: Sequence[Placed]) -> list[Advice]:
    """What to practise, the dearest first; at most three."""
    read = [one for one in placed if one.placing]
    if len(read) < FEWEST_CLASSES:
        return [Advice(FEW, FEWEST_CLASSES - len(read))]
    found = [*_pairs(by_pair(read)), *_sizes(by_size(read)), *_categories(read), *_sides(read)]
    return found[:MOST] or [Advice(NOTHING)]


def _pairs(pairs: list[Lost]) -> list[Advice]:
    worst = max(pairs, key=lambda pair: pair.points, default=None)
    if worst is None or worst.lost < AT_LEAST_TWICE or not worst.points:
        return []
    return [Advice(PAIR, pairs.index(worst), worst.points)]


def _sizes(sizes: list[Lost]) -> list[Advice]:
    """A pair that is very easy should not be lost; else what close ones cost is named, if they cost the most."""
    found = {size.key: size for size in sizes}
    easy = found.get(EASY)
    if easy and easy.lost >= AT_LEAST_TWICE:
        return [Advice(EASY_PAIRS, easy.lost, easy.points)]
    dearest = max(sizes, key=lambda size: size.points, default=None)
    if dearest and dearest.key == CLOSE and dearest.lost >= AT_LEAST_TWICE:
        return [Advice(CLOSE_PAIRS, dearest.lost, dearest.points)]
    return []


def _categories(placed: Sequence[Placed]) -> list[Advice]:
    named = [one for one in by_category(placed) if one.category and one.classes >= AT_LEAST_TWICE]
    worst = min(named, key=lambda one: one.mean, default=None)
    if worst is None:
        return []
    behind = mean([Fraction(one.points) for one in placed]) - worst.mean
    return [Advice(CATEGORY, worst.category, behind)] if behind >= BEHIND else []


def _sides(placed: Sequence[Placed]) -> list[Advice]:
    both = placing_and_reasons(placed)
    if both is None or both.sets < AT_LEAST_TWICE or both.reasons_ahead is None or both.placing_ahead is None:
        return []
    apart = both.placing_ahead - both.reasons_ahead
    if abs(apart) < APART:
        return []
    return [Advice(REASONS if apart > 0 else PLACING, points=abs(apart))]
