"""Classes: adding, changing, removing and voiding them. What the functions raise is told in `outline`."""

from __future__ import annotations

from typing import Any

from django.db.models import Max

from contest.changes import changes, take_turn
from contest.changes.exceptions import InUse, NotPossible, WrongValue
from contest.models import ClassDivision, Contest, Division, JudgingClass
from contest.setup.outline import category_of, divisions_of, fresh
from contest.setup.rows import PLAIN_CLASS, Said, check_seen, next_position, said, write_down
from contest.setup.uses import class_uses, division_in_class_uses, reasons_of_division_uses, tie_uses, uses_of
from contest.slips.resettling import resettle_class
from contest.trail import record_change


def next_number(contest: Contest) -> int:
    return (contest.classes.aggregate(last=Max("number"))["last"] or 0) + 1


@changes
def add_class(contest: Contest, by: str, **values: Any) -> JudgingClass:
    """`values` as `rows.said` gives them: `category` is a code or empty, `divisions` and `reasons` are codes."""
    take_turn(contest.pk)
    _check(contest.classes, values)
    judged = JudgingClass(contest=contest, position=next_position(contest.classes))
    _set_plain(judged, values)
    _set_divisions(judged, values)
    record_change(contest, by, f"class {judged.number} added", after=said(judged))
    return judged


@changes
def change_class(judged: JudgingClass, by: str, mark: str | None = None, **values: Any) -> JudgingClass:
    """Change a class; a new perfect score re-scores its cards at once, as they are scored when they are looked at."""
    judged = fresh(judged)
    before = said(judged)
    check_seen(before, mark)
    now = before | values
    _check(judged.contest.classes.exclude(pk=judged.pk), now)
    if judged.places and not now["places"]:
        for uses in (class_uses(judged), tie_uses(judging_class=judged)):
            if uses:
                raise WrongValue("places", f"this class must go on giving placing scores: {uses[0]}")
    for division in judged.divisions.exclude(code__in=now["divisions"]):
        if uses := division_in_class_uses(judged, division):
            raise WrongValue("divisions", f"{division} cannot be taken out: {uses[0]}")
    for row in judged.class_divisions.filter(gives_reasons=True).exclude(division__code__in=now["reasons"]):
        if uses := reasons_of_division_uses(judged, row.division):
            raise WrongValue("reasons", f"{row.division} must go on giving reasons: {uses[0]}")
    _set_plain(judged, now)
    _set_divisions(judged, now)
    resettle_class(judged)
    write_down(judged.contest, by, f"class {before['number']} changed", before, said(judged))
    return judged


@changes
def remove_class(judged: JudgingClass, by: str) -> None:
    judged = fresh(judged)
    if uses := uses_of(judged):
        raise InUse(f"class {judged.number}", [*uses, "make it void instead"] if class_uses(judged) else uses)
    before, contest = said(judged), judged.contest
    judged.claims.all().delete()  # stacks taken and given back, with nothing read
    judged.delete()
    record_change(contest, by, f"class {before['number']} removed", before=before)


@changes
def void_class(judged: JudgingClass, by: str, reason: str) -> None:
    """Throw a class out: its placing and reasons count for nobody. What was read is kept."""
    _set_void(judged, by, reason, True)


@changes
def unvoid_class(judged: JudgingClass, by: str, reason: str) -> None:
    """Let a class that was thrown out count again."""
    _set_void(judged, by, reason, False)


def _set_void(judged: JudgingClass, by: str, reason: str, void: bool) -> None:
    if not reason.strip():
        raise WrongValue("reason", f"say why class {judged.number} {'is thrown out' if void else 'counts again'}")
    fresh(judged)
    if not JudgingClass.objects.filter(pk=judged.pk, void=not void).update(void=void):
        raise NotPossible(f"class {judged.number} {'is void' if void else 'counts'} already")
    judged.void = void
    what = f"class {judged.number} {'made void' if void else 'counts again'}, {reason.strip()}"
    record_change(
        judged.contest, by, what[:200], before={"void": not void}, after={"void": void, "reason": reason.strip()}
    )


def _check(others: Any, values: Said) -> None:
    if others.filter(number=values["number"]).exists():
        raise WrongValue("number", f"class {values['number']} is there already; give this one another number")
    for code in values["reasons"]:
        if code not in values["divisions"]:
            raise WrongValue("reasons", f"division {code} gives reasons on this class but does not judge it")


def _set_plain(judged: JudgingClass, values: Said) -> None:
    for name in PLAIN_CLASS:
        setattr(judged, name, values[name])
    judged.category = category_of(judged.contest, values["category"])
    judged.save()


def _set_divisions(judged: JudgingClass, values: Said) -> None:
    judging: list[Division] = divisions_of(judged.contest, values["divisions"], "divisions")
    before = dict(judged.class_divisions.values_list("division_id", "gives_reasons"))
    after = {division.pk: division.code in values["reasons"] for division in judging}
    if before != after:
        # Made anew, so that their own order is the contest's order of divisions.
        judged.class_divisions.all().delete()
        ClassDivision.objects.bulk_create(
            ClassDivision(judging_class=judged, division=division, gives_reasons=after[division.pk])
            for division in judging
        )
