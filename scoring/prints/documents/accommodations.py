"""Who needs what to compete as the others do, on one list, and how many of each there have to be.

Whose names: nobody's. It is the superintendent's own; but a sheet of paper lies about, and what somebody needs is
nobody else's business.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from django.utils.translation import gettext_lazy

from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material
from scoring.prints.words import contestants


def build(material: Material, choice: Choice) -> dict[str, Any]:
    needs = material.accommodations
    people = sorted(person for person in material.present if person.number in needs)
    counted = Counter(words for person in people for words in needs[person.number].ticked())
    return {
        "counted": contestants(len(people)),
        "sums": sorted(counted.items()),
        "people": [
            {
                "number": person.number,
                "group": person.group,
                "division": material.division_names[person.division],
                "ticked": needs[person.number].ticked(),
                "note": needs[person.number].note,
            }
            for person in people
        ],
        "pages": 1 + len(people) // 30,
    }


DOCUMENT = Document(
    name="accommodations",
    title=gettext_lazy("Who needs what"),
    about=gettext_lazy(
        "Everybody who needs more time, large print, a reader or anything else, with how many of each: for the "
        "superintendent alone."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    needs=frozenset({"accommodations"}),
)
