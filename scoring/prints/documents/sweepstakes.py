"""The sweepstakes of a day of several contests: who won each table, and the tables whole.

Whose names: as each contest shows people in public, and of nobody whose family does not want it.
"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy

from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.material import Material


def build(material: Material, choice: Choice) -> dict[str, Any]:
    day = material.sweepstakes
    if day is None:
        return {"day": None, "pages": 1}
    champions = [(table.title, [line for line in table.lines if line.rank == 1]) for table in day.tables]
    rows = sum(len(table.lines) + 4 for table in day.tables)
    return {"day": day, "champions": champions, "pages": 1 + rows // 40}


DOCUMENT = Document(
    name="sweepstakes",
    title=gettext_lazy("Sweepstakes of the day"),
    about=gettext_lazy("The champions over all contests of the day, and every table with what each contest gave."),
    when="after",
    names=gettext_lazy("as each contest shows people, and of nobody whose family says no"),
    build=build,
    needs=frozenset({"sweepstakes"}),
)
