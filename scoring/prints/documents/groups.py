"""Group sheets: the rotation of all groups, then a sheet for each group's leader with its people and its way.

Whose names: nobody's. A group leader may coach some of the group, and holds the sheet where everybody sees it.
"""

from __future__ import annotations

from typing import Any

from django.utils.text import Truncator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from contest.entries.rotation import Round, rotation
from scoring.core.explain import listed
from scoring.core.record import Contestant, JudgingClass
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import CAUTIONS, WHO_DECIDES, contestants, group_part, handled, in_groups

CLASSES_BESIDE_EACH_OTHER = 15


def build(material: Material, choice: Choice) -> dict[str, Any]:
    people = material.present
    letters = sorted({person.group for person in people if person.group})
    classes = [judged for judged in material.record.classes if not judged.void]
    rounds: list[Round[JudgingClass]] = rotation(len(letters), classes, material.starts_at, material.minutes_of)
    divisions = material.division_names
    all_divisions = len(material.record.divisions)
    return {
        "letters": letters,
        "rounds": rounds,
        "timed": material.starts_at is not None,
        "minutes": material.minutes_per_class,
        "classes": [
            (
                judged.number,
                judged.name,
                ""
                if len(judged.divisions) == all_divisions
                else _("{divisions} only").format(divisions=listed(divisions[code] for code in judged.divisions)),
                " ".join(besides(material, judged)),
            )
            for judged in classes
        ],
        "groups": [
            _group(material, letter, [person for person in people if person.group == letter], turns)
            for at, letter in enumerate(letters)
            for turns in ([(turn, turn.places[at]) for turn in rounds],)
        ],
        "without": [person.number for person in people if not person.group],
        "cautions": CAUTIONS,
        "who_decides": WHO_DECIDES,
        "pages": len(letters) + 1 + len(people) // 40,
    }


def besides(material: Material, judged: JudgingClass | None) -> tuple[str, ...]:
    """What holds of a class that does not of every one: whether its animals are handled, and its own minutes."""
    if judged is None:
        return ()
    minutes = material.minutes.get(judged.number)
    told = ngettext("{count} minute.", "{count} minutes.", minutes or 0).format(count=minutes) if minutes else ""
    return tuple(filter(None, (handled(material.handling.get(judged.number, "")), told)))


def _group(
    material: Material, letter: str, members: list[Contestant], turns: list[tuple[Round[JudgingClass], Any]]
) -> dict[str, Any]:
    """A group's way, and a place to tick for each card that is taken in: by member and class."""
    divisions = material.division_names
    due = {
        judged.number: sum(person.division in judged.divisions for person in members)
        for _, judged in turns
        if judged and judged.places
    }
    handed_in = [judged for _, judged in turns if judged and judged.places]
    return {
        "letter": letter,
        "part": group_part(Truncator(letter).chars(38)),
        "counted": contestants(len(members)),
        "turns": [
            (turn, judged, due.get(judged.number) if judged else None, " ".join(besides(material, judged)))
            for turn, judged in turns
        ],
        "needs": [
            (person.number, listed(needs.ticked()), needs.note)
            for person in members
            for needs in (material.accommodations.get(person.number),)
            if needs
        ],
        "ticks": [
            {
                "classes": [judged.number for judged in some],
                "rows": [
                    (
                        person.number,
                        divisions[person.division],
                        ["" if person.division in judged.divisions else "–" for judged in some],
                    )
                    for person in members
                ],
            }
            for some in in_groups(handed_in, CLASSES_BESIDE_EACH_OTHER) or [[]]
        ],
    }


DOCUMENT = Document(
    name="group-sheets",
    title=gettext_lazy("Group sheets"),
    about=gettext_lazy(
        "The rotation of all groups, and a sheet for each group’s leader: cautions around the animals, the way from "
        "class to class, and a place to tick for every card."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    needs=frozenset({"accommodations"}),
)
