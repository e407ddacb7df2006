"""What tests ask of the trail: entries as people read them."""

from contest.models import TrailEntry
from contest.trail.entries import EntryWithNames, told


def trail_of(contest) -> list[EntryWithNames]:
    """The whole trail of a contest, with names, the oldest first."""
    return told(TrailEntry.objects.filter(contest=contest).order_by("revision"))


def last_of(contest) -> EntryWithNames:
    return trail_of(contest)[-1]
