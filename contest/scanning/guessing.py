"""What a machine thinks that an uncertain card says: only offered to a person, who looks at the picture beside it."""

from __future__ import annotations

from collections.abc import Sequence

from contest.scanning.reader import FoundCard, Trouble

NEVER = {Trouble.BLANK, Trouble.BLANK_POSITION, Trouble.IMPOSSIBLE, Trouble.UNKNOWN_CLASS}
"""Of these cards nothing is offered: rulebooks differ on what a place without an animal counts."""


def thought(card: FoundCard, animals: str) -> str:
    """The order of the animals' labels, the best first; empty where there is nothing to be thought."""
    if card.placing or NEVER.intersection(card.troubles):
        return card.placing
    darkest = [_darkest(row) for row in card.fills]
    if len(darkest) != len(animals) or sorted(darkest) != list(range(len(animals))):
        return ""
    return "".join(animals[place] for place in darkest)


def _darkest(row: Sequence[float]) -> int:
    """The place in a row of its only darkest box; -1 where there is none."""
    most = max(row, default=0.0)
    return row.index(most) if most > 0 and list(row).count(most) == 1 else -1
