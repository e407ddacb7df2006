"""Late entries: whether somebody who is entered now is late, and what the contest's rules say of it."""

from __future__ import annotations

from django.utils import timezone
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.changes.exceptions import NotPossible
from contest.models import Contest


def is_late(contest: Contest) -> bool:
    """Whether whoever is entered now is late."""
    return contest.late_after is not None and timezone.now() >= contest.late_after


def asks_why(contest: Contest) -> bool:
    """Whether whoever is entered now needs a note of why they are late."""
    return is_late(contest) and contest.late_entries == Contest.LateEntries.NOTE


def lateness(contest_id: int) -> Contest:
    """The contest with its rule as it is now. Raises NotPossible where nobody is entered any more."""
    contest = Contest.objects.only("late_after", "late_entries").get(pk=contest_id)
    if contest.late_after and is_late(contest) and contest.late_entries == Contest.LateEntries.REFUSE:
        told = _("entries closed at {time}, and late ones are refused; the facts of the set-up say so")
        raise NotPossible(told.format(time=localtime(contest.late_after).strftime("%Y-%m-%d %H:%M")))
    return contest
