"""Keys: a class's official placing with its three cuts."""

from __future__ import annotations

from collections.abc import Sequence
from operator import index

from django.db import transaction

from contest.models import JudgingClass, Key
from contest.trail import record_change
from scoring.placing import why_not_a_placing, why_not_cuts


@transaction.atomic
def hand_in_key(judging_class: JudgingClass, official: str, cuts: Sequence[int], by: str, reason: str = "") -> Key:
    """Make a new version of a class's key; earlier versions stay as they are.

    `reason` says why an earlier key is changed. Raises ValueError, in words for whoever typed it, when the placing or
    the cuts are impossible, and when a change is not given a reason.
    """
    if problem := why_not_a_placing(official) or why_not_cuts(cuts):
        raise ValueError(problem)
    contest = judging_class.contest
    before = judging_class.keys.last()
    if before and not reason:
        raise ValueError(f"class {judging_class.number} already has the key {before}; say why it changes")
    top, middle, bottom = map(index, cuts)
    key = Key.objects.create(
        judging_class=judging_class,
        version=before.version + 1 if before else 1,
        official=official,
        top=top,
        middle=middle,
        bottom=bottom,
        by=by,
        reason=reason,
    )
    what = f"key of class {judging_class.number}"
    record_change(contest, by, what, before=str(before) if before else None, after=str(key))
    return key
