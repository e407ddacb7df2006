"""A contest with results to be read, and the hands that read them."""

from uuid import uuid4

from django.core.cache import cache

from contest.models import Contest
from scoring.announced.held_back import ceremony_of
from scoring.board.awards import ListKey
from scoring.board.ceremony import move_on
from scoring.board.queue import queue_lists
from tests.scoring.results.cast import ready, release

OVERALL = ListKey("SR", "overall", "individuals")
TEAMS = ListKey("SR", "overall", "teams")
REASONS = ListKey("SR", "reasons", "individuals")


def released_contest(**parts):
    """101 is first, then 103, 102 and 104, whose family wants no name shown; released by Sue."""
    contest = ready(**parts)
    release(contest)
    return Contest.objects.get(pk=contest.pk)


def ceremony_ready(*keys, places=10, **parts):
    """Results that are released, with lists queued."""
    contest = ready(**parts)
    queue_lists(contest, keys or (OVERALL,), places, "Sue")
    release(contest)
    return Contest.objects.get(pk=contest.pk)


def step_of(contest):
    ceremony = ceremony_of(contest)
    return ceremony.step if ceremony else 0


def go(contest, *moves, to=None):
    """Make moves, each at the step that the ceremony is at."""
    for move in moves:
        move_on(contest, "Ann", move, step_of(contest), to)
    forget_revision(contest)


def forget_revision(contest):
    """As though half a second had passed."""
    cache.delete(f"revision-{contest.pk}")


def sent(contest, **fields):
    return {"submission": str(uuid4()), "step": step_of(contest), **fields}


def stage(contest):
    ceremony = ceremony_of(contest)
    return (str(ceremony.award_list or ""), ceremony.revealed, ceremony.running)
