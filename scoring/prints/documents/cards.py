"""Placing cards: one a contestant and class, four to a page.

Whose names: nobody's. A card passes through many hands, and the desks that read it know numbers only.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from contest.watch.progress import group_order
from scoring.core.record import Contestant
from scoring.prints.changed import Changes
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import by_team, fit, places_of, stacked

AT_ONCE = 4


def build(material: Material, choice: Choice) -> dict[str, Any]:
    divisions, news = material.division_names, Changes(material, choice)
    cards: list[dict[str, Any]] = [
        {
            "number": person.number,
            "group": person.group,
            "division": divisions[person.division],
            "class_number": judged.number,
            "class_name": judged.name,
            "number_size": fit(str(person.number), (6,)),
            "size": fit(judged.name, (26, 48, 90)),
            "placed": (person, judged),
            "lies": "on-card",
            "codes": material.card_codes.of(judged, person.number) if material.card_codes else [],
            **places_of(judged.animals),
        }
        for person in material.present
        if choice.wants(person.number)
        for judged in material.placed_classes
        if person.division in judged.divisions
        and (not choice.classes or judged.number in choice.classes)
        and news.keep(f"{person.number}/{judged.number}", (person.group, divisions[person.division], judged.name))
    ]
    if DOCUMENT.order(choice) == "class":
        position = {judged.number: place for place, judged in enumerate(material.record.classes)}
        cards.sort(key=lambda card: (position[card["class_number"]], _group(card["placed"][0]), card["number"]))
    elif DOCUMENT.order(choice) == "group":
        cards.sort(key=lambda card: (_group(card["placed"][0]), card["number"]))
    elif DOCUMENT.order(choice) == "team":
        cards.sort(key=lambda card: by_team(card["placed"][0]))
    # A stack that was dropped can be put in order again.
    for at, card in enumerate(cards, start=1):
        card["at"] = at
    return {"said": news.said, "sheets": stacked(cards, AT_ONCE), "all": len(cards), "pages": -(-len(cards) // AT_ONCE)}


def _group(person: Contestant) -> tuple[Any, ...]:
    return group_order(person.group)


DOCUMENT = Document(
    name="placing-cards",
    title=gettext_lazy("Placing cards"),
    about=gettext_lazy(
        "One card a contestant and class, four to a page. Cut all sheets through together and put the piles on each "
        "other, the upper left one on top, then upper right, lower left, lower right: they are in order. Where a "
        "scanner reads them, each has boxes to mark; those of seven or eight animals would be too small, and have none."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    asks=("numbers", "classes", "changed", "order"),
    orders={
        "number": gettext_lazy("by contestant: each one’s cards together"),
        "team": gettext_lazy("by team, then by contestant"),
        "group": gettext_lazy("by group, then by contestant"),
        "class": gettext_lazy("by class and group, as they are collected"),
    },
    needs=frozenset({"card_codes"}),
    styles=("cut", "fields"),
)
