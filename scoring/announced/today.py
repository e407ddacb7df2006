"""Which contests are of any concern to spectators: those of today, and no draft."""

from __future__ import annotations

from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from contest.models import Card, Contest, ReasonsScore
from reasons.models import Slot
from scoring.models import KeyRelease, Release

UNDATED = 0.5
"""Days that a contest without a date is taken to be away: it comes after those of today, and before all others."""


def public_contests() -> QuerySet[Contest]:
    """All but drafts: their day has come, or something of them was read, planned or shown."""
    of_contest = {"contest": OuterRef("pk")}
    of_class = {"judging_class__contest": OuterRef("pk")}
    return Contest.objects.filter(
        Q(held_on__lte=timezone.localdate())
        | Exists(Card.objects.filter(**of_class))
        | Exists(ReasonsScore.objects.filter(**of_class))
        | Exists(Slot.objects.filter(**of_class))
        | Exists(KeyRelease.objects.filter(**of_class))
        | Exists(Release.objects.filter(**of_contest))
    )


def is_draft(contest: Contest) -> bool:
    return not public_contests().filter(pk=contest.pk).exists()


def todays_contests() -> list[Contest]:
    """Every contest of this day; where there is none, the one whose day is nearest, the newest of several."""
    today = timezone.localdate()
    rows = sorted(public_contests().order_by("-pk"), key=lambda contest: _away(contest.held_on, today))
    of_today = [contest for contest in rows if contest.held_on == today]
    return of_today or rows[:1]


def _away(held_on: date | None, today: date) -> float:
    return UNDATED if held_on is None else abs((held_on - today).days)
