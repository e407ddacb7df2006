"""What tests ask of the trail: entries as people read them."""

from contest.models import TrailEntry
from contest.trail.entries import EntryWithNames, named_entries


def trail_of(contest) -> list[EntryWithNames]:
    """The whole trail of a contest, with names, the oldest first."""
    return named_entries(TrailEntry.objects.filter(contest=contest).order_by("revision"))


def last_of(contest) -> EntryWithNames:
    return trail_of(contest)[-1]
