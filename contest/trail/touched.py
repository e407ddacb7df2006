"""What changed of a contest since some revision, so that only that is looked at again."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import product
from typing import NamedTuple

from contest.models import Contest, Touches

FEW_CARDS = 200
"""Cards that are looked at one by one; the desks of a large hall read as many in some minutes."""


class Touched(NamedTuple):
    """What changes touched of a contest's record, and of what was read of it: whether the `classes`, and which cards by
    class and number, perhaps a few more; `cards` is None where they are not named, or where they are so many that
    looking at all is as fast."""

    classes: bool
    cards: set[tuple[int, int]] | None


def touched_since(contest: Contest, revision: int) -> Touched | None:
    """What was touched after a revision; None where that may be anything."""
    entries = contest.trail.filter(revision__gt=revision, revision__lte=contest.revision)
    touched = list(entries.values_list("touches", "about"))
    kinds = {kind for kind, _ in touched}
    # An entry for every revision, or the database is not the one that was looked at before.
    if Touches.EVERYTHING in kinds or len(touched) != contest.revision - revision:
        return None
    cards = _cards_in(about for kind, about in touched if kind == Touches.CARDS)
    return Touched(Touches.CLASSES in kinds, cards)


def _cards_in(abouts: Iterable[str]) -> set[tuple[int, int]] | None:
    touched: set[tuple[int, int]] = set()
    for about in abouts:
        classes, numbers = ([int(n) for n in re.findall(rf" {kind}:(\d+)", about)] for kind in ("class", "contestant"))
        if not classes or not numbers:
            return None
        touched.update(product(classes, numbers))
    return touched if len(touched) <= FEW_CARDS else None
