"""The trail: every change is written down with who made it, and moves the contest's revision by one."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import F

from contest.models import Contest, Touches, TrailEntry


@transaction.atomic
def record_change(
    contest: Contest,
    by: str,
    what: str,
    before: Any = None,
    after: Any = None,
    touches: Touches = Touches.EVERYTHING,
) -> int:
    """Write down one change and return the contest's new revision. Call it in the transaction that makes the change.

    `before` and `after` are anything JSON can hold. `touches` may be narrowed only by a change that alters nothing else
    of the contest's record. Adding in the database, not in Python, keeps two changes at once from taking the same
    revision; the row stays locked until the transaction ends.
    """
    Contest.objects.filter(pk=contest.pk).update(revision=F("revision") + 1)
    contest.refresh_from_db(fields=["revision"])
    TrailEntry.objects.create(
        contest=contest, revision=contest.revision, by=by, what=what, before=before, after=after, touches=touches
    )
    return contest.revision
