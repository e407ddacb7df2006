"""Forms that are filled in by hand: keys by the officials, and scores in the reasons rooms.

Whose names: nobody's. Reasons rooms never see a name, and a key has nothing to do with one.
"""

from __future__ import annotations

from itertools import groupby
from typing import Any

from scoring.placing import PAIR_NAMES
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import fit, in_groups, stacked
from scoring.record import MOST_REASONS, JudgingClass

SLIPS_AT_ONCE = 8
BLANK = 25


def key_forms(material: Material, choice: Choice) -> dict[str, Any]:
    divisions = material.division_names
    chosen = [c for c in material.placed_classes if not choice.classes or c.number in choice.classes]
    forms = [
        {
            "number": judged.number,
            "name": judged.name,
            "size": fit(judged.name, (36, 80)),
            "judged_by": ", ".join(divisions[code] for code in judged.divisions),
            "perfect": judged.perfect,
        }
        for judged in chosen
    ]
    return {"sheets": in_groups(forms, 2), "pairs": PAIR_NAMES, "pages": -(-len(forms) // 2)}


def room_sheets(material: Material, choice: Choice) -> dict[str, Any]:
    """A sheet for each room and class as planned; without a plan one for each class, in the order of numbers."""
    sheets = [sheet for room in material.rooms for sheet in _planned(material, room) if _wanted(choice, sheet)]
    if not sheets:
        sheets = [
            {
                "room": "",
                "officials": (),
                "judged": judged,
                "rows": [("", number) for number in _speakers(material, judged)],
            }
            for judged in material.reasons_classes
            if not choice.classes or judged.number in choice.classes
        ]
    return {
        "sheets": sheets,
        "components": material.components,
        "most": MOST_REASONS,
        "blank": range(BLANK),
        "pages": sum(1 + len(sheet["rows"]) // 30 for sheet in sheets),
    }


def score_slips(material: Material, choice: Choice) -> dict[str, Any]:
    """A slip for each set of reasons, in the order they are heard."""
    slips = [
        {"number": number, "judged": sheet["judged"], "room": sheet["room"], "starts": starts}
        for sheet in room_sheets(material, choice)["sheets"]
        for starts, number in sheet["rows"]
        if choice.wants(number)
    ]
    return {
        "sheets": stacked(slips, SLIPS_AT_ONCE),
        "components": material.components,
        "most": MOST_REASONS,
        "pages": -(-len(slips) // SLIPS_AT_ONCE),
    }


def _planned(material: Material, room: Any) -> list[dict[str, Any]]:
    judged_by_number = {judged.number: judged for judged in material.record.classes}
    return [
        {
            "room": room.name,
            "officials": room.officials,
            "judged": judged_by_number[class_number],
            "rows": [(f"{slot.starts:%H:%M}", slot.number) for slot in slots],
        }
        # A room that goes back and forth between classes has a sheet for each stretch.
        for class_number, slots in groupby(room.slots, key=lambda slot: slot.class_number)
    ]


def _wanted(choice: Choice, sheet: dict[str, Any]) -> bool:
    return not choice.classes or sheet["judged"].number in choice.classes


def _speakers(material: Material, judged: JudgingClass) -> list[int]:
    return [person.number for person in material.present if person.division in judged.reasons]


KEY_FORMS = Document(
    name="key-forms",
    title="Key forms",
    about="Two to a page, for the officials to hand in a class’s placing and its three cuts.",
    when="before",
    names="nobody’s",
    build=key_forms,
    asks=("classes",),
    styles=("cut",),
)
ROOM_SHEETS = Document(
    name="room-sheets",
    title="Reasons room sheets",
    about="Who speaks when in each room, with a place for every score; by class and number where nothing is planned.",
    when="before",
    names="numbers only",
    build=room_sheets,
    asks=("classes",),
    needs=frozenset({"rooms"}),
)
SCORE_SLIPS = Document(
    name="score-slips",
    title="Reasons score slips",
    about="One slip a set of reasons, eight to a page, in the order they are heard.",
    when="before",
    names="numbers only",
    build=score_slips,
    asks=("classes", "numbers"),
    needs=frozenset({"rooms"}),
    styles=("cut",),
)
