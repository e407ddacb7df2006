"""Spare cards and numbers, for whoever comes without an entry and for what gets lost.

Whose names: nobody's.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.book.text import LARGEST_NUMBER
from contest.entries.numbers import free_from
from contest.scanning.reader.layout import DIGITS
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import fit, places_of, stacked, usual_animals

USUAL_SPARES = 12
CARDS_AT_ONCE = 4
NUMBERS_AT_ONCE = 2


def next_free(material: Material) -> int:
    """The number after the largest that anybody has, where there is one; else the smallest that nobody has."""
    taken = _taken(material)
    largest = max(taken, default=100)
    return largest + 1 if largest < LARGEST_NUMBER else free_from(1, taken, 1)[0]


def cards(material: Material, choice: Choice) -> dict[str, Any]:
    """So many blank cards, of each class where classes were chosen; or a card of every class for so many walk-ups."""
    numbered = CARDS.order(choice) == "number"
    classes = [j for j in material.placed_classes if j.number in choice.classes or (numbered and not choice.classes)]
    codes = material.card_codes
    made: list[dict[str, Any]] = [
        {
            "codes": codes.of(judged, number or None) if codes and judged else [],
            "number": number or "",
            "number_size": fit(str(number), (6,)),
            "class_number": judged.number if judged else "",
            "name": judged.name if judged else "",
            "size": fit(judged.name, (26, 48, 90)) if judged else 0,
            **places_of(judged.animals if judged else usual_animals(material.placed_classes)),
        }
        for number in (_free(material, choice) if numbered else [0] * (choice.spares or USUAL_SPARES))
        for judged in (classes if numbered or choice.classes else [None])
    ]
    for card in made:
        by_hand = card["codes"] and not card["number"]
        card |= {
            "digits": digit_rows() if by_hand else [],
            "lies": "below-digits" if by_hand else "on-card",
            "kind": "to-read by-digits" if by_hand else "to-read" if card["codes"] else "plain",
        }
    return {"sheets": stacked(made, CARDS_AT_ONCE), "pages": -(-len(made) // CARDS_AT_ONCE)}


def digit_rows() -> list[dict[str, Any]]:
    """The rows that a number is marked in."""
    worths = (_("thousands"), _("hundreds"), _("tens"), _("ones"))
    return [{"digits": range(10), "worth": worth} for worth in worths[-DIGITS:]]


def numbers(material: Material, choice: Choice) -> dict[str, Any]:
    """Numbers to wear that nobody has yet, or signs to write one on."""
    if NUMBERS.order(choice) == "number":
        wearing = [{"number": number, "digits": len(str(number))} for number in _free(material, choice)]
    else:
        wearing = [{"number": 0, "digits": 0}] * (choice.spares or USUAL_SPARES)
    return {"sheets": stacked(wearing, NUMBERS_AT_ONCE), "pages": -(-len(wearing) // NUMBERS_AT_ONCE)}


def _free(material: Material, choice: Choice) -> list[int]:
    found = free_from(choice.first or next_free(material), _taken(material), choice.spares or USUAL_SPARES)
    return [number for number in found if number <= LARGEST_NUMBER]


def _taken(material: Material) -> set[int]:
    """Also the numbers of those who did not come: a card of theirs may lie about."""
    return {person.number for person in material.record.contestants}


CARDS = Document(
    name="spare-cards",
    title=gettext_lazy("Spare placing cards"),
    about=gettext_lazy(
        "Cards to fill in by hand, four to a page: blank, of chosen classes, or a set of every class for each walk-up."
    ),
    when="before",
    names=gettext_lazy("nobody’s"),
    build=cards,
    asks=("classes", "spares", "first", "order"),
    orders={
        "blank": gettext_lazy("numbers blank; classes too, unless some are chosen"),
        "number": gettext_lazy("with numbers that nobody has, a card for every class"),
    },
    needs=frozenset({"card_codes"}),
    styles=("cut", "spares", "fields"),
)
NUMBERS = Document(
    name="spare-numbers",
    title=gettext_lazy("Spare numbers to wear"),
    about=gettext_lazy("Two to a page, for walk-ups: numbers that nobody has, or blank signs to write one on."),
    when="before",
    names=gettext_lazy("nobody’s"),
    build=numbers,
    asks=("spares", "first", "order"),
    orders={
        "number": gettext_lazy("with numbers that nobody has"),
        "blank": gettext_lazy("blank"),
    },
    styles=("cut", "spares"),
)
