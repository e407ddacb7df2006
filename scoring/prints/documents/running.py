"""What is looked for while the reading goes on: missing cards and doubts.

Whose names: no contestant's. Doubts say which helper read what, as the superintendent's own page does.
"""

from __future__ import annotations

from typing import Any

from django.utils.text import Truncator
from django.utils.translation import gettext_lazy, ngettext

from contest.watch.progress import group_order
from scoring.core.points import in_thousands
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import group_part

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
            "part": group_part(Truncator(letter).chars(38)) if letter else "",
            "counted": _missing(sum(map(len, classes.values()))),
            "rows": [(number, names[number], numbers) for number, numbers in classes.items()],
            "short": sum(map(len, classes.values())) <= FEW,
        }
        for letter, classes in sorted(by_group.items(), key=lambda item: group_order(item[0]))
    ]
    missing = sum(len(numbers) for classes in by_group.values() for numbers in classes.values())
    words = ngettext(
        "{count} card missing: nobody has read them, or nobody has handed them in.",
        "{count} cards missing: nobody has read them, or nobody has handed them in.",
        missing,
    )
    return {
        "groups": groups,
        "counted": words.format(count=in_thousands(missing)),
        "pages": max(1, missing // 250),
    }


def _missing(cards: int) -> str:
    return ngettext("{count} card missing", "{count} cards missing", cards).format(count=in_thousands(cards))


def doubts(material: Material, choice: Choice) -> dict[str, Any]:
    count = len(material.doubts)
    words = ngettext("{count} doubt to decide, oldest first.", "{count} doubts to decide, oldest first.", count)
    return {
        "doubts": material.doubts,
        "counted": words.format(count=in_thousands(count)),
        "pages": 1 + len(material.doubts) // 6,
    }


MISSING_CARDS = Document(
    name="missing-cards",
    title=gettext_lazy("Missing cards"),
    about=gettext_lazy("By group, the numbers of which nobody has read a card yet."),
    when="during",
    names=gettext_lazy("numbers only"),
    build=missing_cards,
)
DOUBTS = Document(
    name="doubts",
    title=gettext_lazy("Doubts"),
    about=gettext_lazy("Everything that waits for a decision, with room to write."),
    when="during",
    names=gettext_lazy("helpers’ only"),
    build=doubts,
    needs=frozenset({"doubts"}),
)
