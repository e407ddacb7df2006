"""Answer sheets: one a contestant and part that has an answer key, with a circle to fill in for each answer; the same
in large print, for whoever needs it, where nothing is smaller than 18 points.

Whose names: nobody's, as on every placing card.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy

from scoring.core.record import Contestant, Part
from scoring.prints.answer_grids import circles, fits_twice, large_circles
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
            grid = circles(len(questions.worth), questions.options)
            sheets = stacked([_sheet(material, part, person, grid) for person in theirs], at_once)
            pages += [{"of": at_once, "sheets": page} for page in sheets]
    return {"sheets": pages, "pages": len(pages)}


def build_large(material: Material, choice: Choice) -> dict[str, Any]:
    """Those of who was chosen; else of those who need large print; else one of each part with its number left blank. A
    part takes as many pages as its questions need."""
    numbers = choice.numbers or {n for n, needs in material.accommodations.items() if needs.large_print}
    people = [person for person in material.present if person.number in numbers]
    sheets: list[dict[str, Any]] = []
    for part in material.record.parts:
        if part.code not in material.answered:
            continue
        questions = material.answered[part.code].questions
        grids = large_circles(len(questions.worth), questions.options)
        theirs: list[Contestant | None] = [person for person in people if person.division in part.divisions]
        for person in theirs if numbers else [None]:
            sheets += [
                {**_sheet(material, part, person, grid), "page": page, "pages": len(grids)}
                for page, grid in enumerate(grids, start=1)
            ]
    return {"sheets": sheets, "pages": len(sheets)}


def _sheet(material: Material, part: Part, person: Contestant | None, grid: str) -> dict[str, Any]:
    return {
        "name": part.name,
        "size": fit(part.name, (40, 90)),
        "number": person.number if person else "",
        "number_size": fit(str(person.number), (6,)) if person else 0,
        "group": person.group if person else "",
        "division": material.division_names[person.division] if person else "",
        "grid": grid,
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
LARGE = Document(
    name="large-answers",
    title=gettext_lazy("Answer sheets in large print"),
    about=gettext_lazy(
        "One to a page, nothing smaller than 18 points: for the contestants and teams that are chosen; where none are, "
        "for those who need large print, and where nobody does, one of each part with the number left blank."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build_large,
    asks=("numbers",),
    needs=frozenset({"answers", "accommodations"}),
    styles=("cut", "answers", "large"),
    blank_for_nobody=True,
)
