"""Covers for stacks: one for the cards of each class and group, with the numbers that are due, and who read them.

Whose names: nobody's. Stacks lie on desks that know numbers only.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from django.utils.translation import gettext_lazy, ngettext

from contest.watch.progress import group_order
from scoring.core.points import in_thousands
from scoring.core.record import JudgingClass, Part
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import fit, in_groups, stacked

AT_ONCE = 2
ON_ONE = {5: 60, 10: 36}
"""How many numbers find room on a cover, by how many digits they have at most."""


def stacks_of(material: Material, choice: Choice) -> list[tuple[JudgingClass | Part, str, list[int]]]:
    """Every stack: its class or keep/cull part, its group and the numbers whose cards are due."""
    stacks: list[tuple[JudgingClass | Part, str, list[int]]] = []
    parts = [] if choice.classes else [part for part in material.record.parts if part.animals]
    classes = [judged for judged in material.placed_classes if not choice.classes or judged.number in choice.classes]
    of: list[JudgingClass | Part] = [*classes, *parts]
    for judged in of:
        due: defaultdict[str, list[int]] = defaultdict(list)
        for person in material.present:
            if person.division in judged.divisions:
                due[person.group].append(person.number)
        stacks += [(judged, group, due[group]) for group in sorted(due, key=group_order)]
    if DOCUMENT.order(choice) == "group":
        stacks.sort(key=lambda stack: group_order(stack[1]))
    return stacks


def build(material: Material, choice: Choice) -> dict[str, Any]:
    digits = max((len(str(person.number)) for person in material.present), default=0)
    width = next((most for most in ON_ONE if digits <= most), 10)
    covers: list[dict[str, Any]] = []
    for judged, group, numbers in stacks_of(material, choice):
        parts = in_groups(numbers, ON_ONE[width])
        due = ngettext("{count} card due", "{count} cards due", len(numbers)).format(count=in_thousands(len(numbers)))
        covers += [
            {
                "number": judged.number if isinstance(judged, JudgingClass) else "",
                "name": judged.name,
                "size": fit(judged.name, (70, 110)),
                "group": group,
                "group_size": fit(group, (4, 14)),
                "due": due,
                "numbers": part,
                "part": at,
                "parts": len(parts),
            }
            for at, part in enumerate(parts, start=1)
        ]
    for at, cover in enumerate(covers, start=1):
        cover["at"] = at
    return {
        "sheets": stacked(covers, AT_ONCE),
        "all": len(covers),
        "width": width,
        "pages": -(-len(covers) // AT_ONCE),
    }


DOCUMENT = Document(
    name="stack-covers",
    title=gettext_lazy("Stack covers"),
    about=gettext_lazy(
        "For the cards of each class or keep/cull part and group: the numbers due, how many came in, and who read them "
        "first and second. Two to a page; the cut stacks are in order."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    asks=("classes", "order"),
    orders={
        "class": gettext_lazy("by class, then by group"),
        "group": gettext_lazy("by group, then by class"),
    },
    styles=("cut", "covers"),
)
