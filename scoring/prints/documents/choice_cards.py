"""Keep/cull cards: one a contestant and part, four to a page.

Whose names: nobody's, as on every placing card.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy

from contest.watch.progress import group_order
from scoring.core.record import Contestant, Part
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.documents.spares import USUAL_SPARES
from scoring.prints.material import Material
from scoring.prints.words import fit, stacked

AT_ONCE = 4


def build(material: Material, choice: Choice) -> dict[str, Any]:
    people: Sequence[Contestant | None] = in_order(material, choice, DOCUMENT.order(choice))
    cards = [
        card_of(material, part, person)
        for part in material.record.parts
        if part.animals
        for person in people
        if person is None or person.division in part.divisions
    ]
    for at, card in enumerate(cards, start=1):
        card["at"] = at
    return {"sheets": stacked(cards, AT_ONCE), "all": len(cards), "pages": -(-len(cards) // AT_ONCE)}


def in_order(material: Material, choice: Choice, order: str) -> list[Contestant] | list[None]:
    """Whose cards are made, in an order of the document; of spares nobody's."""
    if order == "blank":
        return [None] * (choice.spares or USUAL_SPARES)
    people = [person for person in material.present if choice.wants(person.number)]
    if order == "group":
        people.sort(key=lambda person: (group_order(person.group), person.number))
    return people


def card_of(material: Material, part: Part, person: Contestant | None) -> dict[str, Any]:
    """A card of somebody, or one whose number is left blank."""
    codes = material.card_codes.of_part(part, person.number) if material.card_codes and person else []
    return {
        "number": person.number if person else "",
        "number_size": fit(str(person.number), (6,)) if person else 0,
        "group": person.group if person else "",
        "division": material.division_names[person.division] if person else "",
        "name": part.name,
        "size": fit(part.name, (26, 48, 90)),
        "animals": part.animals,
        "keep": part.keep,
        "cull": len(part.animals) - part.keep,
        "lies": "on-card",
        "codes": codes,
        "kind": "keep spare" if person is None else "keep to-read" if codes else "keep",
    }


DOCUMENT = Document(
    name="keep-cards",
    title=gettext_lazy("Keep/cull cards"),
    about=gettext_lazy(
        "One card a contestant and keep/cull part, four to a page, with a box to mark for each animal; or spares with "
        "the number left blank. Cut as placing cards are, the piles come off in order. Where a scanner reads cards, it "
        "reads those with a number, of up to ten animals."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    asks=("numbers", "order", "spares"),
    orders={
        "number": gettext_lazy("by part, then by number"),
        "group": gettext_lazy("by part and group, as they are collected"),
        "blank": gettext_lazy("spares, with the number left blank"),
    },
    needs=frozenset({"card_codes"}),
    styles=("cut", "spares", "fields"),
)
