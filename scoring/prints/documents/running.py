"""What is looked for while the reading goes on: missing cards and doubts.

Whose names: no contestant's. Doubts say which helper read what, as the superintendent's own page does.
"""

from __future__ import annotations

from typing import Any

from contest.watch.progress import group_order
from scoring.core.explain import counted
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material

FEW = 100
"""Cards that fit on a page together with what else a group has."""


def missing_cards(material: Material, choice: Choice) -> dict[str, Any]:
    """By group, since that is how cards are carried: the numbers of which nobody has read a card, class by class."""
    read = {(card.class_number, card.number) for card in material.record.cards}
    by_group: dict[str, dict[int, list[int]]] = {}
    for judged in material.placed_classes:
        for person in material.present:
            if person.division in judged.divisions and (judged.number, person.number) not in read:
                by_group.setdefault(person.group, {}).setdefault(judged.number, []).append(person.number)
    names = {judged.number: judged.name for judged in material.record.classes}
    groups = [
        {
            "letter": letter,
            "counted": counted(sum(map(len, classes.values())), "card"),
            "rows": [(number, names[number], numbers) for number, numbers in classes.items()],
            "short": sum(map(len, classes.values())) <= FEW,
        }
        for letter, classes in sorted(by_group.items(), key=lambda item: group_order(item[0]))
    ]
    missing = sum(len(numbers) for classes in by_group.values() for numbers in classes.values())
    return {"groups": groups, "counted": counted(missing, "card"), "pages": max(1, missing // 250)}


def doubts(material: Material, choice: Choice) -> dict[str, Any]:
    return {
        "doubts": material.doubts,
        "counted": counted(len(material.doubts), "doubt"),
        "pages": 1 + len(material.doubts) // 6,
    }


MISSING_CARDS = Document(
    name="missing-cards",
    title="Missing cards",
    about="By group, the numbers of which nobody has read a card yet.",
    when="during",
    names="numbers only",
    build=missing_cards,
)
DOUBTS = Document(
    name="doubts",
    title="Doubts",
    about="Everything that waits for a decision, with room to write.",
    when="during",
    names="helpers’ only",
    build=doubts,
    needs=frozenset({"doubts"}),
)
