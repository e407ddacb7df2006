"""Test cards: whether this printer, these pens and this scanner work, is found out the evening before.

Whose names: nobody's.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from contest.scanning.reader.identity import Identity
from contest.scanning.reader.rehearsal import CARDS, animals_on_test_cards, asked_for
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import places_of


def build(material: Material, choice: Choice) -> dict[str, Any]:
    """One page of cards, each of which says what to mark on it; none where cards are read by people alone."""
    codes = material.card_codes
    cards = [
        {
            "number": number,
            "lies": "on-test",
            "asked": " ".join(asked_for(number)),
            "codes": codes.written(Identity(codes.contest, codes.year, 0, number, "rehearsal")),
            **places_of(animals_on_test_cards()),
        }
        for number in range(1, CARDS + 1)
        if codes
    ]
    return {"sheets": [cards] if cards else [], "pages": 1}


DOCUMENT = Document(
    name="test-cards",
    title=gettext_lazy("Test cards for the scanner"),
    about=gettext_lazy(
        "One page to mark the evening before, with the pens of the day, and to scan: it tells whether printer, pens "
        "and scanner work together."
    ),
    when="before",
    names=gettext_lazy("nobody’s"),
    build=build,
    needs=frozenset({"card_codes"}),
    styles=("cut", "fields"),
)
