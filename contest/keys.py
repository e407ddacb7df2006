"""Keys: a class's official placing with its three cuts."""

from __future__ import annotations

from collections.abc import Sequence
from operator import index

from django.utils import timezone

from contest.changes import changes, take_turn
from contest.models import JudgingClass, Key, Touches
from contest.reading import NotPossible
from contest.trail import record_change
from scoring.placing import why_not_a_placing, why_not_cuts

LARGEST_CUT = 10_000
"""Far above any rulebook: a warning says so long before; this only catches a slip of the hand."""


@changes
def hand_in_key(judging_class: JudgingClass, official: str, cuts: Sequence[int], by: str, reason: str = "") -> Key:
    """Enter a class's key. It is provisional until somebody else has entered the same.

    The same key again, from somebody else, confirms it. Another one makes a new version, for a `reason`; earlier
    versions stay as they are. Raises NotPossible, in words for whoever typed it, when the placing or the cuts are
    impossible, and when a change is not given a reason.
    """
    if problem := why_not_a_placing(official) or why_not_cuts(cuts):
        raise NotPossible(problem)
    top, middle, bottom = map(index, cuts)
    if max(top, middle, bottom) > LARGEST_CUT:
        raise NotPossible(f"a cut of {max(top, middle, bottom)} cannot be meant")
    take_turn(judging_class.contest_id)
    latest = judging_class.keys.last()
    if latest and (latest.official, latest.cuts) == (official, (top, middle, bottom)):
        return _confirm(latest, by)
    if latest and not reason.strip():
        raise NotPossible(f"class {judging_class.number} has the key {latest}; say why it changes")
    key = Key.objects.create(
        judging_class=judging_class,
        version=latest.version + 1 if latest else 1,
        official=official,
        top=top,
        middle=middle,
        bottom=bottom,
        by=by,
        reason=reason.strip(),
    )
    what = f"key of class {judging_class.number}"
    before = str(latest) if latest else None
    record_change(judging_class.contest, by, what, before=before, after=str(key), touches=Touches.CLASSES)
    return key


def _confirm(key: Key, by: str) -> Key:
    if key.confirmed_by or key.by.casefold() == by.casefold():
        return key
    key.confirmed_by, key.confirmed_at = by, timezone.now()
    key.save(update_fields=["confirmed_by", "confirmed_at"])
    what = f"key of class {key.judging_class.number} confirmed"
    record_change(key.judging_class.contest, by, what, after=str(key), touches=Touches.CLASSES)
    return key
