"""Answer sheets: one a contestant and part that has an answer key, with a circle to fill in for each answer.

Whose names: nobody's, as on every placing card.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy

from scoring.core.record import Contestant, Part
from scoring.prints.answer_grids import circles, fits_twice
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.documents.choice_cards import in_order
from scoring.prints.material import Material
from scoring.prints.words import fit, stacked


def build(material: Material, choice: Choice) -> dict[str, Any]:
    """Two sheets to a page, or one of a part with so many questions that they need all of it."""
    people: Sequence[Contestant | None] = in_order(material, choice, DOCUMENT.order(choice))
    pages: list[dict[str, Any]] = []
    for part in material.record.parts:
        if part.code in material.answered:
            theirs = [person for person in people if not person or person.division in part.divisions]
            questions = material.answered[part.code].questions
            at_once = 2 if fits_twice(len(questions.worth), questions.options) else 1
            sheets = stacked([_sheet(material, part, person) for person in theirs], at_once)
            pages += [{"of": at_once, "sheets": page} for page in sheets]
    return {"sheets": pages, "pages": len(pages)}


def _sheet(material: Material, part: Part, person: Contestant | None) -> dict[str, Any]:
    questions = material.answered[part.code].questions
    return {
        "name": part.name,
        "size": fit(part.name, (40, 90)),
        "number": person.number if person else "",
        "number_size": fit(str(person.number), (6,)) if person else 0,
        "group": person.group if person else "",
        "division": material.division_names[person.division] if person else "",
        "grid": circles(len(questions.worth), questions.options),
    }


DOCUMENT = Document(
    name="answer-sheets",
    title=gettext_lazy("Answer sheets"),
    about=gettext_lazy(
        "One a contestant and part that has an answer key, two to a page, with a circle for each answer; or spares "
        "with the number left blank."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    asks=("numbers", "order", "spares"),
    needs=frozenset({"answers"}),
    orders={
        "number": gettext_lazy("by part, then by number"),
        "group": gettext_lazy("by part and group, as they are collected"),
        "blank": gettext_lazy("spares, with the number left blank"),
    },
    styles=("cut", "answers"),
)
