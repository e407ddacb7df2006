"""Throwing a class out, and letting it count again."""

from __future__ import annotations

from contest.changes import changes
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import JudgingClass
from contest.setup.outline import fresh
from contest.trail import record_change


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
    sentence = f"class {judged.number} {'made void' if void else 'counts again'}, {reason.strip()}"
    record_change(
        judged.contest, by, sentence[:200], before={"void": not void}, after={"void": void, "reason": reason.strip()}
    )
