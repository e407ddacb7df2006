"""Who gives reasons when and where: a sheet for the door of each room, and a list by number for the hall.

Whose names: on a door nobody's, since the officials who go in and out hear numbers only. The hall's list hangs where
everybody reads it, and shows people as the contest does.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from django.utils.text import Truncator
from django.utils.translation import gettext_lazy

from scoring.core.people import shown_name
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material, Slot
from scoring.prints.words import fit, people_of

DOOR_ROWS = 36
HALL_ROWS = 40


def doors(material: Material, choice: Choice) -> dict[str, Any]:
    """A sheet for each room that has something to hear, in its order of speaking."""
    rooms: list[dict[str, Any]] = [
        {
            "name": room.name,
            "part": Truncator(room.name).chars(40),
            "size": fit(room.name, (26, 48)),
            "classes": _classes(material, {slot.class_number for slot in room.slots}),
            "sets": [(f"{s.starts:%H:%M}", s.number, s.class_number) for s in sorted(room.slots, key=_by_time)],
        }
        for room in material.rooms
        if room.slots
    ]
    return {"rooms": rooms, "pages": sum(1 + len(room["sets"]) // DOOR_ROWS for room in rooms)}


def hall(material: Material, choice: Choice) -> dict[str, Any]:
    """Everybody who speaks, by number, each with their sets in the order of time."""
    people = people_of(material)
    shows = material.record.rules.show_people_as
    sets: defaultdict[int, list[tuple[Slot, str]]] = defaultdict(list)
    for room in material.rooms:
        for slot in room.slots:
            sets[slot.number].append((slot, room.name))
    rows = [
        {
            "number": number,
            "name": shown_name(people[number], shows),
            "sets": [
                {"starts": f"{slot.starts:%H:%M}", "room": room, "class_number": slot.class_number}
                for slot, room in sorted(sets[number], key=lambda one: _by_time(one[0]))
            ],
        }
        for number in sorted(sets)
    ]
    return {
        "rows": rows,
        "names": any(row["name"] for row in rows),
        "classes": _classes(material, {slot.class_number for room in material.rooms for slot in room.slots}),
        "pages": 1 + len(rows) // HALL_ROWS,
    }


def _classes(material: Material, heard: set[int]) -> list[tuple[int, str]]:
    return [(judged.number, judged.name) for judged in material.record.classes if judged.number in heard]


def _by_time(slot: Slot) -> tuple[Any, ...]:
    return (slot.starts, slot.number)


DOORS = Document(
    name="door-timetables",
    title=gettext_lazy("Timetables for the doors"),
    about=gettext_lazy("A sheet for the door of each reasons room: who speaks when, and on which class."),
    when="before",
    names=gettext_lazy("numbers only"),
    build=doors,
    needs=frozenset({"rooms"}),
    styles=("timetables",),
)
HALL = Document(
    name="hall-timetable",
    title=gettext_lazy("Timetable for the hall"),
    about=gettext_lazy("Everybody who gives reasons, by number: when, in which room, and on which class."),
    when="before",
    names=gettext_lazy("as the contest shows people"),
    build=hall,
    needs=frozenset({"rooms"}),
    styles=("timetables",),
)
