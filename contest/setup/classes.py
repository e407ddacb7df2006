"""Throwing a class out, and letting it count again."""

from __future__ import annotations

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import JudgingClass
from contest.setup.outline import fresh
from contest.trail import record_change, sentence


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
        told = _("say why class {number} is thrown out") if void else _("say why class {number} counts again")
        raise WrongValue("reason", told.format(number=judged.number))
    fresh(judged)
    if not JudgingClass.objects.filter(pk=judged.pk, void=not void).update(void=void):
        told = _("class {number} is void already") if void else _("class {number} counts already")
        raise NotPossible(told.format(number=judged.number))
    judged.void = void
    why = reason.strip()
    what = sentence("class_void" if void else "class_counts", judged=judged.number, reason=why)
    record_change(judged.contest, by, what, before={"void": not void}, after={"void": void, "reason": why})
