"""Group sheets: the rotation of all groups, then a sheet for each group's leader with its people and its way.

Whose names: nobody's. A group leader may coach some of the group, and holds the sheet where everybody sees it.
"""

from __future__ import annotations

from typing import Any

from contest.entries.rotation import Round, rotation
from scoring.explain import counted
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import CAUTIONS, WHO_DECIDES, in_groups
from scoring.record import JudgingClass


def build(material: Material, choice: Choice) -> dict[str, Any]:
    people = material.present
    letters = sorted({person.group for person in people if person.group})
    classes = [judged for judged in material.record.classes if not judged.void]
    rounds: list[Round[JudgingClass]] = rotation(len(letters), classes, material.starts_at, material.minutes_per_class)
    divisions = material.division_names
    all_divisions = len(divisions)
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
                else f"{' and '.join(divisions[code] for code in judged.divisions)} only",
            )
            for judged in classes
        ],
        "groups": [
            {
                "letter": letter,
                "counted": counted(len(members), "contestant"),
                # Beside each other in four columns, as they are ticked off.
                "rows": in_groups([(person.number, divisions[person.division]) for person in members], 4),
                "turns": [(turn, turn.places[at]) for turn in rounds],
            }
            for at, letter in enumerate(letters)
            for members in ([person for person in people if person.group == letter],)
        ],
        "without": [person.number for person in people if not person.group],
        "cautions": CAUTIONS,
        "who_decides": WHO_DECIDES,
        "pages": len(letters) + 1,
    }


DOCUMENT = Document(
    name="group-sheets",
    title="Group sheets",
    about="The rotation of all groups, and a sheet for each group’s leader.",
    when="before",
    names="numbers only",
    build=build,
)
