"""Checking a part of what a machine read: how large a sample must be, which cards are in it, and what it says of all.

From every heap (a class and a division, say) at least the same share is drawn without putting back. A wrong card of a
heap of which n of N are drawn is in the sample with chance n / N; each further one of the same heap is no less likely
to be found once the ones before were not. So k wrong cards, wherever they lie, all stay out of a sample of at least the
share f with chance at most (1 - f)^k. For a sample in which some were found: the number found is a sum of as many
independent chances as there are wrong cards, each heap's being such a sum too (Vatutin and Mikhailov, 1982), and for
counts below their mean less one a binomial count of the same mean is at least as likely to be as low (Hoeffding, 1956).
Both theorems are named from memory; tests hold the bound against the exact chances.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Hashable, Iterable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import TypeVar

from scoring.core.binomial import at_most

Heap = TypeVar("Heap", bound=Hashable)


def share_to_read(cards: int, most_wrong: Fraction, confidence: Fraction) -> float:
    """Which share of every heap is read, so that more wrong cards than `most_wrong` of all `cards` would show with the
    chance `confidence`; between 0 and 1, and 0 only of no cards."""
    if not cards:
        return 0.0
    tolerated = math.floor(most_wrong * cards)
    if tolerated + 1 > cards:
        return 0.0
    doubt: float = float(1 - confidence) ** (1 / (tolerated + 1))
    return 1 - doubt


def drawn(heaps: Mapping[Heap, Iterable[int]], share: float, seed: str) -> dict[Heap, set[int]]:
    """The numbers to be read of each heap: at least the share of it, by what the seed makes of each heap and number.

    Whoever knows the seed finds the same ones. One that is drawn of some cards is drawn of more cards of the same heap
    too, unless the others come before it.
    """
    return {heap: _first(heap, set(numbers), share, seed) for heap, numbers in heaps.items()}


def _first(heap: Hashable, numbers: set[int], share: float, seed: str) -> set[int]:
    count = min(len(numbers), math.ceil(share * len(numbers) - 1e-9))  # 0.2 of 10 is 2
    lots = _lots(heap, seed)
    if missing := numbers - lots.keys():
        begun = hashlib.sha256(f"{seed}:{heap}:".encode())
        for number in missing:
            made = begun.copy()
            made.update(str(number).encode())
            lots[number] = made.digest(), number
    return set(sorted(numbers, key=lots.__getitem__)[:count])


@lru_cache(maxsize=512)
def _lots(heap: Hashable, seed: str) -> dict[int, tuple[bytes, int]]:
    """The lots of a heap that were made before, by number: they stay as they are, and tens of thousands are asked for
    whenever somebody looks."""
    return {}


def most_wrong(cards: int, share: float, found: int, confidence: Fraction) -> int:
    """How many of all cards may be wrong at most, those that were found among them: more would have let at least one
    more be found, with the chance `confidence`. All of them where nothing is known."""
    if share <= 0:
        return cards
    doubt = float(1 - confidence)
    wrong = max(found + 1, math.ceil((found + 1) / share) if found else 1)
    while wrong <= cards and share < 1 and at_most(found, wrong, share) > doubt * (1 + 1e-9):
        wrong += 1
    return min(cards, wrong - 1)
