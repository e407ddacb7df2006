"""What a machine thinks that an uncertain card says: only offered to a person, who looks at the picture beside it."""

from __future__ import annotations

from collections.abc import Sequence

from contest.scanning.reader import FoundCard, Trouble

KEEP = 0  # the box of an animal that keeps it; the other one culls it

NEVER = {Trouble.BLANK, Trouble.BLANK_POSITION, Trouble.IMPOSSIBLE, Trouble.NEITHER, Trouble.UNKNOWN_CLASS}
"""Of these cards nothing is offered: rulebooks differ on what a place without an animal counts, or an animal without a
mark."""


def thought(card: FoundCard, animals: str) -> str:
    """The order of the animals' labels, the best first, or those that are kept, however many; of an answer sheet its
    row, with OPEN for each question that a person has to say. Empty where there is nothing to be thought."""
    if card.placing or NEVER.intersection(card.troubles):
        return card.placing
    if card.guess:
        return card.guess
    darkest = [_darkest(row) for row in card.fills]
    if card.identity and card.identity.kind == "keep":
        is_whole = len(darkest) == len(animals) and -1 not in darkest
        return "".join(label for label, at in zip(animals, darkest, strict=True) if at == KEEP) if is_whole else ""
    if len(darkest) != len(animals) or sorted(darkest) != list(range(len(animals))):
        return ""
    return "".join(animals[place] for place in darkest)


def _darkest(row: Sequence[float]) -> int:
    """The place in a row of its only darkest box; -1 where there is none."""
    most = max(row, default=0.0)
    return row.index(most) if most > 0 and list(row).count(most) == 1 else -1
