"""What most people did in a class. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from scoring.core.explain import listed
from scoring.core.record import NO_CARD, UNREADABLE, Record
from scoring.core.texts import gettext as _

LISTED = 8
SEVERAL = 3
"""Of more placings than these that are equally common there is nothing to say."""


def placings_of(cards: Iterable[str]) -> Counter[str]:
    """How often each placing was given; cards without one count nowhere."""
    return Counter(card for card in cards if card not in (NO_CARD, UNREADABLE))


def given_in(record: Record, class_number: int) -> Counter[str]:
    """How often each placing was given in a class by those who are here."""
    here = {person.number for person in record.contestants if person.present}
    cards = (card for card in record.cards if card.class_number == class_number and card.number in here)
    return placings_of(card.placing for card in cards)


def most_did(placings: Counter[str]) -> str:
    """`Most often 3142, on 14 of 57 cards`; empty where nothing is most common."""
    if not placings:
        return ""
    most = max(placings.values())
    commonest = sorted(placing for placing, count in placings.items() if count == most)
    if len(commonest) > SEVERAL:
        return ""
    words = _("Most often {placing}, on {count} of {all} cards")
    if len(commonest) > 1:
        words = _("Most often {placing}, each on {count} of {all} cards")
    return words.format(placing=listed(commonest), count=most, all=placings.total())


def commonest(placings: Counter[str]) -> tuple[tuple[str, int], ...]:
    """The placings that most gave, with how many did, at most LISTED of them."""
    return tuple(sorted(placings.items(), key=lambda row: (-row[1], row[0]))[:LISTED])


def had_over(placings: Counter[str], above: str, below: str) -> str:
    """`31 of 57 in the division had 1 over 2`"""
    count = sum(count for placing, count in placings.items() if placing.index(above) < placing.index(below))
    words = _("{count} of {all} in the division had {above} over {below}")
    return words.format(count=count, all=placings.total(), above=above, below=below)
