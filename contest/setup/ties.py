"""Tie orders: what decides between equal totals, in which order."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import ChangedMeanwhile, NotPossible
from contest.models import Category, Contest, JudgingClass, Part, TieStep
from contest.models.outline import STEP_FIELDS
from contest.trail import record_change, sentence
from scoring.core.explain import tie_step
from scoring.core.record import Record
from scoring.core.steps import Reference, Step, find_step, possible_steps, read_step


def steps_offered(record: Record, scope: str) -> list[str]:
    """Every step that makes sense in a tie order and does not stand in it yet, as the book writes it.

    Left out are classes that give no placing score and, for individuals, what only teams have.
    """
    for_teams = scope == TieStep.Scope.TEAM
    named: dict[Reference, list[object]] = {
        "class": [judged.number for judged in record.classes if judged.places],
        "category": [category.code for category in record.categories],
        "part": [part.code for part in record.parts if for_teams or part.scope == "individual"],
    }
    standing = record.team_ties if for_teams else record.individual_ties
    return [step for step in possible_steps(named, for_teams) if step not in standing]


def step_label(step: str, record: Record) -> str:
    """A step as a page tells it, with the class's name where it names a class."""
    kind, number = read_step(step)
    words = tie_step(step, record)
    judged_classes = record.classes if kind.looks_at == "class" else ()
    name = next((judged.name for judged in judged_classes if str(judged.number) == number), "")
    return _("{step}, {class_name}").format(step=words, class_name=name) if name else words


def tie_order(contest: Contest, scope: str) -> list[str]:
    rows = contest.tie_steps.filter(scope=scope).select_related("judging_class", "category", "part")
    return [row.step for row in rows]


@changes
def set_tie_order(
    contest: Contest, scope: str, steps: Sequence[str], by: str, seen_steps: Sequence[str] | None = None
) -> None:
    """Replace a tie order by `steps`, written as in the book, such as `reasons` or `class:3`.

    Raises ChangedMeanwhile where `seen_steps`, the order that the page showed, is no longer true; NotPossible for a
    step that stands twice, that teams alone have, or that names what the contest does not have.
    """
    take_turn(contest.pk)
    before = tie_order(contest, scope)
    if seen_steps is not None and list(seen_steps) != before:
        raise ChangedMeanwhile({"order": before})
    if twice := [step for step in dict.fromkeys(steps) if list(steps).count(step) > 1]:
        raise NotPossible(_("{step} stands twice in the order; once decides all it can").format(step=twice[0]))
    rows = [_row(contest, scope, position, step, step in before) for position, step in enumerate(steps)]
    if list(steps) == before:
        return
    contest.tie_steps.filter(scope=scope).delete()
    TieStep.objects.bulk_create(rows)
    record_change(contest, by, sentence(f"ties_{scope}"), before=before, after=list(steps))


def _row(contest: Contest, scope: str, position: int, step: str, stands: bool) -> TieStep:
    """The row of one step. A step that `stands` already may stay though it would not be offered: books may bring it."""
    known = find_step(step)
    if known and known[0].teams_only and scope != TieStep.Scope.TEAM:
        raise NotPossible(_("{step} separates teams only").format(step=step))
    looked_at = known and _looked_at(contest, *known, scope, stands)
    if known is None or looked_at is None:
        raise NotPossible(_("{step!r} is not a tie step here").format(step=step))
    return TieStep(contest=contest, scope=scope, position=position, kind=known[0].code, **looked_at)


def _looked_at(contest: Contest, step: Step, name: str, scope: str, stands: bool) -> dict[str, Any] | None:
    """What a step looks at, by its field: empty where it looks at nothing, None where that is not there."""
    if step.looks_at is None:
        return {}
    row: JudgingClass | Category | Part | None = None
    if step.looks_at == "class" and name.isascii() and name.isdigit():
        classes = contest.classes if stands else contest.classes.filter(places=True)
        row = classes.filter(number=name).first()
    elif step.looks_at == "category":
        row = contest.categories.filter(code=name).first()
    elif step.looks_at == "part":
        scopes = Part.Scope.values if scope == TieStep.Scope.TEAM or stands else [Part.Scope.INDIVIDUAL]
        row = contest.parts.filter(code=name, scope__in=scopes).first()
    return {STEP_FIELDS[step.looks_at]: row} if row else None
