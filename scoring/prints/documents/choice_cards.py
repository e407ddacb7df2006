"""Keep/cull cards: one a contestant and part, four to a page.

Whose names: nobody's, as on every placing card.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from contest.watch.progress import group_order
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import fit, stacked

AT_ONCE = 4


def build(material: Material, choice: Choice) -> dict[str, Any]:
    people = [person for person in material.present if choice.wants(person.number)]
    if DOCUMENT.order(choice) == "group":
        people.sort(key=lambda person: (group_order(person.group), person.number))
    cards: list[dict[str, Any]] = [
        {
            "number": person.number,
            "number_size": fit(str(person.number), (6,)),
            "group": person.group,
            "division": material.division_names[person.division],
            "name": part.name,
            "size": fit(part.name, (26, 48, 90)),
            "animals": part.animals,
            "keep": part.keep,
            "cull": len(part.animals) - part.keep,
        }
        for part in material.record.parts
        if part.animals
        for person in people
        if person.division in part.divisions
    ]
    for at, card in enumerate(cards, start=1):
        card["at"] = at
    return {"sheets": stacked(cards, AT_ONCE), "all": len(cards), "pages": -(-len(cards) // AT_ONCE)}


DOCUMENT = Document(
    name="keep-cards",
    title=gettext_lazy("Keep/cull cards"),
    about=gettext_lazy(
        "One card a contestant and keep/cull part, four to a page, with a box to mark for each animal. Cut as placing "
        "cards are, the piles come off in order."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    asks=("numbers", "order"),
    orders={
        "number": gettext_lazy("by part, then by number"),
        "group": gettext_lazy("by part and group, as they are collected"),
    },
    styles=("cut",),
)
