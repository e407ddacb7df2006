"""Forms that are filled in by hand: keys by the officials, and scores in the reasons rooms.

Whose names: no contestant's. Reasons rooms never see a name; a key has only those of a committee's officials.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.core.explain import listed
from scoring.core.placing import ANIMALS, cut_names
from scoring.core.questions import worth_in_words
from scoring.core.record import MOST_REASONS, JudgingClass, Part
from scoring.prints.answer_grids import boxes
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material, PairNotes, Room
from scoring.prints.words import fit, handled, ordinal, stacked

SLIPS_AT_ONCE = 8


def key_forms(material: Material, choice: Choice) -> dict[str, Any]:
    """A form for each class; for a committee one for each official, who places alone, and one for what is agreed."""
    divisions = material.division_names
    chosen = [c for c in material.placed_classes if not choice.classes or c.number in choice.classes]
    forms = [
        {
            "number": judged.number,
            "name": judged.name,
            "size": fit(judged.name, (36, 80)),
            "judged_by": ", ".join(divisions[code] for code in judged.divisions),
            "perfect": judged.perfect,
            "handled": handled(material.handling.get(judged.number, "")),
            "usual": judged.animals == ANIMALS,
            "animals": listed(judged.animals),
            "columns": list(_key_columns(judged)),
            "official": official,
            "agreed": official == "" and judged.number in material.committees,
        }
        for judged in chosen
        for official in (*material.committees.get(judged.number, ()), "")
    ]
    if not choice.classes:
        forms += [
            {
                "name": part.name,
                "size": fit(part.name, (36, 80)),
                "judged_by": ", ".join(divisions[code] for code in part.divisions),
                "animals": part.animals,
                "keep": part.keep,
            }
            for part in material.record.parts
            if part.animals
        ]
        forms += [_answer_key_form(material, part) for part in material.record.parts if part.code in material.answered]
    return {"sheets": stacked(forms, 2), "pages": -(-len(forms) // 2)}


def _answer_key_form(material: Material, part: Part) -> dict[str, Any]:
    questions = material.answered[part.code].questions
    return {
        "name": part.name,
        "size": fit(part.name, (36, 80)),
        "judged_by": ", ".join(material.division_names[code] for code in part.divisions),
        "options": listed(questions.options),
        "count": len(questions.worth),
        "worth": worth_in_words(questions.worth) if len(set(questions.worth)) == 1 else "",
        "grid": boxes(len(questions.worth)),
    }


def _key_columns(judged: JudgingClass) -> Iterator[tuple[str, bool]]:
    """What stands over each box for an animal or a cut, and whether it is one for a cut."""
    cuts = cut_names(len(judged.animals))
    for place, pair in enumerate([*cuts, None], start=1):
        yield ordinal(place), False
        if pair is not None:
            yield _("{pair} cut").format(pair=pair), True


def room_sheets(material: Material, choice: Choice) -> dict[str, Any]:
    """A sheet for each room and official in the room's order of speaking; without a plan one for each class, in the
    order of numbers.
    """
    sheets = _sheets(material, choice)
    return {
        "sheets": sheets,
        "components": material.components,
        "most": MOST_REASONS,
        "pages": sum(1 + len(sheet.sets) // 24 + bool(sheet.keys) for sheet in sheets),
    }


def score_slips(material: Material, choice: Choice) -> dict[str, Any]:
    """A slip for each set of reasons and official, in the order they are heard."""
    slips = [
        {"set": heard, "room": sheet.room, "official": sheet.official, "size": fit(sheet.official, (28,))}
        for sheet in _sheets(material, choice)
        for heard in sheet.sets
        if choice.wants(heard.number)
    ]
    return {
        "sheets": stacked(slips, SLIPS_AT_ONCE),
        "components": material.components,
        "most": MOST_REASONS,
        "pages": -(-len(slips) // SLIPS_AT_ONCE),
    }


class ReasonsSet(NamedTuple):
    """A set to be heard. `starts` is empty where nothing is planned."""

    starts: str
    number: int
    judged: JudgingClass


class Key(NamedTuple):
    """What the officials of a room may see of a class. `open` says why the key may still change, if it may."""

    judged: JudgingClass
    cuts: str
    notes: tuple[PairNotes, ...]
    open: str


@dataclass(frozen=True, slots=True)
class RoomSheet:
    """What one official hears in one room; `room` is empty where nothing is planned."""

    room: str
    official: str
    classes: tuple[JudgingClass, ...]
    sets: tuple[ReasonsSet, ...]
    keys: tuple[Key, ...] = ()


def _sheets(material: Material, choice: Choice) -> list[RoomSheet]:
    chosen = {
        judged.number: judged
        for judged in material.reasons_classes
        if not choice.classes or judged.number in choice.classes
    }
    return [sheet for room in material.rooms for sheet in _in_room(material, room, chosen)] or [
        RoomSheet("", "", (judged,), tuple(ReasonsSet("", number, judged) for number in _speakers(material, judged)))
        for judged in chosen.values()
    ]


def _in_room(material: Material, room: Room, chosen: dict[int, JudgingClass]) -> list[RoomSheet]:
    """One for each official: each writes down what they give, and sees nobody else's."""
    sets = tuple(
        ReasonsSet(f"{slot.starts:%H:%M}", slot.number, chosen[slot.class_number])
        for slot in room.slots
        if slot.class_number in chosen
    )
    heard = {reasons_set.judged.number for reasons_set in sets}
    classes = tuple(judged for number, judged in chosen.items() if number in heard)
    keys = tuple(
        Key(
            judged,
            ", ".join(map(str, judged.cuts or ())),
            material.class_notes.get(judged.number, ()),
            _(material.open_keys[judged.number]) if judged.number in material.open_keys else "",
        )
        for judged in classes
        if room.shows_key and judged.official
    )
    return [RoomSheet(room.name, official, classes, sets, keys) for official in room.officials or ("",) if sets]


def _speakers(material: Material, judged: JudgingClass) -> list[int]:
    return [person.number for person in material.present if person.division in judged.reasons]


KEY_FORMS = Document(
    name="key-forms",
    title=gettext_lazy("Key forms"),
    about=gettext_lazy(
        "Two to a page, for the officials to hand in a class’s placing and its cuts, and what keeping each animal of "
        "keep/cull is worth, or the answer key of questions; the cut stacks are in order. A committee has one for "
        "each official, and one for what they agree on."
    ),
    when="before",
    names=gettext_lazy("the officials’ of committees"),
    build=key_forms,
    asks=("classes",),
    needs=frozenset({"committees", "answers"}),
    styles=("cut",),
)
ROOM_SHEETS = Document(
    name="room-sheets",
    title=gettext_lazy("Reasons room sheets"),
    about=gettext_lazy(
        "A sheet for each room and official: who speaks when, with a place for every score. By class and number "
        "where nothing is planned. Placings, cuts and class notes only for a room that may see the key."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=room_sheets,
    asks=("classes",),
    needs=frozenset({"rooms"}),
)
SCORE_SLIPS = Document(
    name="score-slips",
    title=gettext_lazy("Reasons score slips"),
    about=gettext_lazy(
        "One slip a set and official, eight to a page; the cut stacks come off in the order they are heard."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=score_slips,
    asks=("classes", "numbers"),
    needs=frozenset({"rooms"}),
    styles=("cut",),
)
