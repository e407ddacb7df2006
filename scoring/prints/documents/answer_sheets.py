"""Answer sheets: one a contestant and part that has an answer key, with a circle to fill in for each answer, or a box
to mark where a scanner reads them; the same in large print, for whoever needs it, where nothing is smaller than 18
points.

Whose names: nobody's, as on every placing card.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.scanning.reader.sheets import HALF, Form, form_of
from contest.scanning.reader.sheets import LARGE as LARGE_FORM
from scoring.core.questions import Questions
from scoring.core.record import Contestant, Part
from scoring.prints.answer_grids import answer_field, circles, fits_twice, large_circles
from scoring.prints.choice import Choice
from scoring.prints.document import Document
from scoring.prints.documents.choice_cards import in_order
from scoring.prints.documents.spares import digit_rows
from scoring.prints.fields import lies_on
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
            count, options = len(questions.worth), questions.options
            form = _form(material, questions)
            at_once = 2 if (form is HALF if form else fits_twice(count, options)) else 1
            grid = answer_field(form, count, options) if form else circles(count, options)
            sheets = stacked([_sheet(material, part, person, grid, form) for person in theirs], at_once)
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
        form = _form(material, questions, large=True) if numbers else None
        count, options = len(questions.worth), questions.options
        grids = [answer_field(form, count, options)] if form else large_circles(count, options)
        theirs: list[Contestant | None] = [person for person in people if person.division in part.divisions]
        for person in theirs if numbers else [None]:
            sheets += [
                {**_sheet(material, part, person, grid, form), "page": page, "pages": len(grids)}
                for page, grid in enumerate(grids, start=1)
            ]
    return {"sheets": sheets, "pages": len(sheets)}


def _form(material: Material, questions: Questions, large: bool = False) -> Form | None:
    """How a sheet is laid out that a machine reads; None where people read it alone."""
    return form_of(len(questions.worth), len(questions.options), large) if material.card_codes else None


def _sheet(material: Material, part: Part, person: Contestant | None, grid: str, form: Form | None) -> dict[str, Any]:
    codes: list[str] = []
    if form and material.card_codes:
        number, questions = person.number if person else None, material.answered[part.code].questions
        codes = material.card_codes.of_sheet(part, number, questions, large=form is LARGE_FORM)
    return {
        "how": _("Mark one box for each question. Two marks, or none, earn nothing.")
        if form
        else _("Fill in one circle for each question. Two marks, or none, earn nothing."),
        "codes": codes,
        "lies": lies_on(form) if form else "",
        "digits": digit_rows() if codes and not person else [],
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
        "with the number left blank. Where a scanner reads them, each has boxes to mark; more questions than fit on a "
        "page so have circles, which people read."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build,
    asks=("numbers", "order", "spares"),
    needs=frozenset({"answers", "card_codes"}),
    orders={
        "number": gettext_lazy("by part, then by number"),
        "group": gettext_lazy("by part and group, as they are collected"),
        "blank": gettext_lazy("spares, with the number left blank"),
    },
    styles=("cut", "answers", "fields"),
)
LARGE = Document(
    name="large-answers",
    title=gettext_lazy("Answer sheets in large print"),
    about=gettext_lazy(
        "One to a page, nothing smaller than 18 points: for the contestants and teams that are chosen; where none are, "
        "for those who need large print, and where nobody does, one of each part with the number left blank. A scanner "
        "reads those that have a number and fit on one page."
    ),
    when="before",
    names=gettext_lazy("numbers only"),
    build=build_large,
    asks=("numbers",),
    needs=frozenset({"answers", "accommodations", "card_codes"}),
    styles=("cut", "answers", "large", "fields"),
    blank_for_nobody=True,
)
