"""The one door through which a contest's trail can go: with the contest itself, when it is deleted for good."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from contest.changes import one_change
from contest.models import Contest, TrailDoor
from contest.trail.names import forget_names
from contest.trail.recording import note
from contest.trail.sentences import sentence


@contextmanager
def trail_may_go(contest: Contest, by: str) -> Iterator[None]:
    """Within it the contest can be deleted with its trail. The site's trail keeps that it was, and the chain's head.

    All of it is one transaction, with the contest's row locked before it begins.
    """
    with one_change():
        contest.refresh_from_db(fields=["name", "revision", "trail_head"])
        before = {"name": contest.name, "revision": contest.revision, "head": contest.trail_head}
        pk = contest.pk
        # By whom is not forgotten with it.
        note(by, sentence("contest_deleted_for_good"), before=before, about=[f"contest:{pk}"])
        forget_names(contest)
        TrailDoor.objects.create(contest_key=pk)
        yield
        TrailDoor.objects.filter(contest_key=pk).delete()
