"""Placing cards in large print, for whoever needs them: nothing on them is smaller than 18 points.

Whose names: nobody's, as on every placing card.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from scoring.core.record import Contestant, JudgingClass
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.documents.choice_cards import card_of
from scoring.prints.material import Material
from scoring.prints.words import fit, places_of, stacked

AT_ONCE = 2


def build(material: Material, choice: Choice) -> dict[str, Any]:
    """The cards of those who were chosen; else of those who need large print; else one of each class with its
    number left blank. Those of keep/cull parts come last."""
    numbers = choice.numbers or {n for n, needs in material.accommodations.items() if needs.large_print}
    classes = [j for j in material.placed_classes if not choice.classes or j.number in choice.classes]
    cards = [
        _card(material, judged, person)
        for person in material.present
        if person.number in numbers
        for judged in classes
        if person.division in judged.divisions
    ]
    parts = [] if choice.classes else [part for part in material.record.parts if part.animals]
    cards += [
        card_of(material, part, person)
        for person in material.present
        if person.number in numbers
        for part in parts
        if person.division in part.divisions
    ]
    if not numbers:
        cards = [_card(material, judged, None) for judged in classes]
        cards += [card_of(material, part, None) for part in parts]
    return {"sheets": stacked(cards, AT_ONCE), "pages": -(-len(cards) // AT_ONCE)}


def _card(material: Material, judged: JudgingClass, person: Contestant | None) -> dict[str, Any]:
    return {
        "class_number": judged.number,
        "name": judged.name,
        **places_of(judged.animals),
        "number": person.number if person else "",
        "number_size": fit(str(person.number), (6,)) if person else 0,
        "group": person.group if person else "",
        "division": material.division_names[person.division] if person else "",
    }


DOCUMENT = Document(
    name="large-cards",
    title=gettext_lazy("Cards in large print"),
    about=gettext_lazy(
        "Placing and keep/cull cards, two to a page, nothing smaller than 18 points: for the contestants and teams "
        "that are chosen; where none are, for those who need large print, and where nobody does, one of each class and "
        "part with the number left blank."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    asks=("numbers", "classes"),
    needs=frozenset({"accommodations"}),
    styles=("cut", "large"),
    blank_for_nobody=True,
)
