"""The four kinds of rows that a contest's outline is made of, each with its form and the functions that change it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from contest.models import Category, Contest, Division, JudgingClass, Part
from contest.setup import classes, outline
from contest.setup.forms import CategoryForm, ClassForm, DivisionForm, PartForm, SetUpForm


@dataclass(frozen=True, slots=True)
class Kind:
    """`name` as addresses and `Contest` call its rows; `one` as people do."""

    name: str
    one: str
    model: type
    form: type[SetUpForm]
    add: Callable[..., Any]
    change: Callable[..., Any]
    remove: Callable[..., None]


DIVISIONS = Kind(
    "divisions",
    "division",
    Division,
    DivisionForm,
    outline.add_division,
    outline.change_division,
    outline.remove_division,
)
CATEGORIES = Kind(
    "categories",
    "category",
    Category,
    CategoryForm,
    outline.add_category,
    outline.change_category,
    outline.remove_category,
)
CLASSES = Kind(
    "classes", "class", JudgingClass, ClassForm, classes.add_class, classes.change_class, classes.remove_class
)
PARTS = Kind("parts", "part", Part, PartForm, outline.add_part, outline.change_part, outline.remove_part)
KINDS = {kind.name: kind for kind in (DIVISIONS, CATEGORIES, CLASSES, PARTS)}


def first_values(kind: Kind, contest: Contest) -> dict[str, Any]:
    """What the form for a new row begins with."""
    if kind is CLASSES:
        last = contest.classes.last()
        return {
            "number": classes.next_number(contest),
            "category": last.category.code if last and last.category else "",
            "divisions": list(contest.divisions.values_list("code", flat=True)),
            "places": True,
            "perfect": 50,
        }
    if kind is PARTS:
        return {
            "divisions": list(contest.divisions.values_list("code", flat=True)),
            "most": 50,
            "scope": Part.Scope.INDIVIDUAL.value,
        }
    return {}
