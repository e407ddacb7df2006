"""Throwing a class out, for all or for some of its divisions, and letting it count again."""

from __future__ import annotations

from collections.abc import Collection

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import JudgingClass
from contest.setup.outline import fresh
from contest.trail import record_change, sentence


@changes
def void_class(judged: JudgingClass, by: str, reason: str, divisions: Collection[str] = ()) -> None:
    """Throw a class out: its placing and reasons count for nobody of the divisions with these codes, or of any where
    none is named. What was read is kept."""
    why = _why(reason, _("say why class {number} is thrown out"), judged)
    fresh(judged)
    judging = set(judged.divisions.values_list("code", flat=True))
    if unknown := set(divisions) - judging:
        raise WrongValue("divisions", _("there is no division {code}").format(code=min(unknown)))
    if divisions and set(divisions) != judging:
        _void_for(judged, by, why, sorted(divisions))
    else:
        _set_void(judged, by, why, True)


@changes
def give_full_points(judged: JudgingClass, by: str, reason: str) -> None:
    """Give everybody who is here the perfect placing score of a class that was not fairly judged, card or none. Its
    reasons count as they are, and what was read is kept."""
    why = _why(reason, _("say why everybody has full points in class {number}"), judged)
    fresh(judged)
    if not judged.places:
        raise NotPossible(_("class {number} has no placing score").format(number=judged.number))
    if not JudgingClass.objects.filter(pk=judged.pk, void=False, full_points=False).update(full_points=True):
        raise NotPossible(_("class {number} is thrown out already").format(number=judged.number))
    judged.full_points = True
    what = sentence("class_full_points", judged=judged.number, reason=why)
    record_change(judged.contest, by, what, before={"full_points": False}, after={"full_points": True, "reason": why})


@changes
def unvoid_class(judged: JudgingClass, by: str, reason: str) -> None:
    """Let a class that was thrown out, or in which all had full points, count again by its cards, for everybody."""
    why = _why(reason, _("say why class {number} counts again"), judged)
    if fresh(judged).full_points:
        _take_full_points_back(judged, by, why)
    else:
        _set_void(judged, by, why, False)


def void_for(judged: JudgingClass) -> list[str]:
    """The codes of the divisions for which alone a class is thrown out."""
    return list(judged.class_divisions.filter(void=True).values_list("division__code", flat=True))


def _void_for(judged: JudgingClass, by: str, reason: str, divisions: list[str]) -> None:
    before = void_for(judged)
    if judged.void or set(divisions) <= set(before):
        raise NotPossible(_("class {number} is void already").format(number=judged.number))
    judged.class_divisions.filter(division__code__in=divisions).update(void=True)
    what = sentence("class_void_for", judged=judged.number, divisions=divisions, reason=reason)
    after = {"void_divisions": void_for(judged), "reason": reason}
    record_change(judged.contest, by, what, before={"void_divisions": before}, after=after)


def _take_full_points_back(judged: JudgingClass, by: str, reason: str) -> None:
    JudgingClass.objects.filter(pk=judged.pk).update(full_points=False)
    judged.full_points = False
    what = sentence("class_counts", judged=judged.number, reason=reason)
    record_change(
        judged.contest, by, what, before={"full_points": True}, after={"full_points": False, "reason": reason}
    )


def _set_void(judged: JudgingClass, by: str, reason: str, void: bool) -> None:
    for_some = judged.class_divisions.filter(void=True).update(void=False)
    if not JudgingClass.objects.filter(pk=judged.pk, void=not void).update(void=void) and (void or not for_some):
        told = _("class {number} is void already") if void else _("class {number} counts already")
        raise NotPossible(told.format(number=judged.number))
    judged.void = void
    what = sentence("class_void" if void else "class_counts", judged=judged.number, reason=reason)
    record_change(judged.contest, by, what, before={"void": not void}, after={"void": void, "reason": reason})


def _why(reason: str, without: str, judged: JudgingClass) -> str:
    if not reason.strip():
        raise WrongValue("reason", without.format(number=judged.number))
    return reason.strip()
