"""How the lines of a checklist name what they tell of: as values, which every language joins in its own way."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from contest.trail.sentences import Sentence, sentence
from scoring.core.points import written

NAMED = 12
"""Numbers or teams that a line names; of more it says only how many more there are."""

Value = int | str | Sentence


def first_of(whose: Sequence[Value]) -> list[Value] | Sentence:
    """The first dozen, with commas: `101, 102 and 8 more`."""
    if len(whose) <= NAMED:
        return list(whose)
    return sentence("and_more", named=list(whose[:NAMED]), count=len(whose) - NAMED)


def joined(whose: Sequence[Value]) -> Value | list[Value]:
    """As a sentence lists them: `101, 102 and 103`; of many the first dozen."""
    if len(whose) > NAMED:
        return first_of(whose)
    return whose[0] if len(whose) == 1 else sentence("listed", first_ones=list(whose[:-1]), last=whose[-1])


def as_number(points: Fraction) -> int | float:
    """Points as a sentence holds them: to two decimals, as they are read."""
    text = written(points)
    return float(text) if "." in text else int(text)
