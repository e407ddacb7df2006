"""Offering to take a change back on the page that says it was made."""

from __future__ import annotations

from contest.history.taking_back import can_be_taken_back
from contest.models import Contest
from contest.trail.entries import EntryWithNames, named_entries
from contest.web.requests import Request

OFFERED = "take-back"
MANY = 100
"""Changes of others that may come between pressing a button and being told that it is done."""


def offer(request: Request, contest: Contest, before: int) -> None:
    """Let the next page offer to take back what `contest` was just changed by; `before` is its revision before that."""
    contest.refresh_from_db(fields=["revision"])
    if contest.revision > before:
        request.session[OFFERED] = [contest.pk, before]


def offered(request: Request, contest: Contest) -> EntryWithNames | None:
    """The change that this page offers to take back, once; None where there is none, or somebody built on it since."""
    pk, before = request.session.pop(OFFERED, (None, 0))
    if pk != contest.pk or not request.is_superintendent:
        return None
    since = list(contest.trail.filter(revision__gt=before).order_by("revision")[:MANY])
    for entry, named in zip(since, named_entries(since), strict=True):
        if named.by == request.who:
            return None if can_be_taken_back(entry) else named
    return None
