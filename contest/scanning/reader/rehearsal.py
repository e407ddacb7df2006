"""A page of test cards: marked the evening before with the very pens, and brought through the very scanner.

Each card says which placing to mark on it, so that what was read is known to be right or wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

from contest.scanning.reader.found import FoundCard, Trouble
from scoring.core.placing import ANIMALS, PLACINGS

CARDS = 8
"""On one page."""
_STRIDE = 17
"""Of the 24 placings, so that each animal comes to each place on some card of a page."""

# What to do about each trouble; the page that shows a rehearsal says it in words.
ADVICE = {
    Trouble.FAINT: "darker_pens",
    Trouble.BLANK: "darker_pens",
    Trouble.BLANK_POSITION: "darker_pens",
    Trouble.DARK: "lighter_scan",
    Trouble.CODE_DAMAGED: "sharper_print_or_scan",
    Trouble.CUT_OFF: "whole_pages",
    Trouble.BENT: "flat_pages",
    Trouble.OTHER_CONTEST: "print_again",
    Trouble.TWO_MARKS: "one_mark_a_place",
    Trouble.CROSSED_OUT: "one_mark_a_place",
    Trouble.IMPOSSIBLE: "one_mark_a_place",
}


class Rehearsed(NamedTuple):
    """What came of test cards: of so many `cards`, so many were `read` as they say. `wrong` were read as something else
    than they asked to be marked with, `missing` were not found at all. `troubles` counts the rest by trouble, and
    `advice` is what to do, the most needed first, by the codes of ADVICE and `read_again` for what is missing and
    `look_at_these` for what is wrong. `numbers` are the test cards that were not read, for whoever looks for them. Of
    `washed_out` cards the machine made the paper entirely white, whether or not they were read; `softer_copy` is what
    to do about it."""

    cards: int
    read: int
    wrong: int
    missing: int
    troubles: dict[Trouble, int]
    advice: tuple[str, ...]
    numbers: tuple[int, ...]
    washed_out: int = 0


def asked_for(number: int) -> str:
    """The placing that a test card asks to be marked with, by its number from 1 on."""
    return PLACINGS[(number - 1) * _STRIDE % len(PLACINGS)]


def animals_on_test_cards() -> str:
    return ANIMALS


def rehearse(found: Iterable[FoundCard], cards: int = CARDS) -> Rehearsed:
    """What came of so many test cards, by all that was found on their pages; other cards among them are left out. One
    that was scanned twice counts as it was read last."""
    last: dict[int, FoundCard] = {}
    nameless = []
    for card in found:
        if card.identity is None:
            nameless.append(card)
        elif card.identity.kind == "rehearsal" and card.identity.number is not None:
            last[card.identity.number] = card
    right = {number for number, card in last.items() if card.certain and card.placing == asked_for(number)}
    wrong = {number for number, card in last.items() if card.certain} - right
    doubtful = [card for card in last.values() if not card.certain] + nameless
    troubles = Counter(trouble for card in doubtful for trouble in card.troubles)
    missing = max(0, cards - len(last) - len(nameless))
    advice = Counter[str]()
    for trouble, count in troubles.items():
        if trouble in ADVICE:
            advice[ADVICE[trouble]] += count
    advice["look_at_these"] += len(wrong)
    advice["read_again"] += missing
    washed_out = sum(card.washed_out for card in [*last.values(), *nameless])
    advice["softer_copy"] += washed_out
    unread = sorted(set(range(1, cards + 1)) - right)
    told = tuple(code for code, count in advice.most_common() if count)
    return Rehearsed(cards, len(right), len(wrong), missing, dict(troubles), told, tuple(unread), washed_out)
