"""The planner counts minutes after midnight of the contest's day; the database keeps moments."""

from __future__ import annotations

import math
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from django.utils import timezone

from contest.models import Contest


def day_of(contest: Contest) -> date:
    return contest.held_on or timezone.localdate()


def moment(contest: Contest, minute: int) -> datetime:
    """So many minutes after midnight of the contest's day, by the clock on the wall."""
    return timezone.make_aware(datetime.combine(day_of(contest), time()) + timedelta(minutes=minute))


def minute_of(contest: Contest, when: datetime, up: bool = False) -> int:
    """The minute after midnight of the contest's day that a moment lies in, or with `up` the first not before it."""
    minutes = _seconds_since(day_of(contest), when, timezone.get_current_timezone_name()) / 60
    return math.ceil(minutes) if up else math.floor(minutes)


@lru_cache(maxsize=4096)
def _seconds_since(day: date, when: datetime, zone: str) -> float:
    """Seconds from midnight to a moment by the clock on the wall, in the zone there is; rooms share most moments."""
    return (timezone.make_naive(when) - datetime.combine(day, time())).total_seconds()


def minute_now(contest: Contest) -> int | None:
    """The minute it is, or None on another day than the contest's."""
    return minute_of(contest, timezone.now()) if timezone.localdate() == day_of(contest) else None
