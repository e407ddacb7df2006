"""The doubts that wait, kept in memory: their number stands on every page, right after every reading too."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from dataclasses import dataclass
from functools import cached_property

from contest.changes.locks import MemoryLock
from contest.changes.snapshot import one_snapshot
from contest.models import Contest
from contest.slips.cards import CardSlip
from contest.slips.mixups import count_at_last_look
from contest.trail.touched import touched_since
from contest.watch.doubts import Doubt
from contest.watch.finding import doubts_about_cards, doubts_of, oldest_first

CONTESTS_KEPT = 4
"""One live contest and a few that somebody looks back at."""


@dataclass(frozen=True)
class Waiting:
    """All doubts at one revision, oldest first."""

    revision: int
    doubts: list[Doubt]

    @cached_property
    def fingerprint(self) -> str:
        """Tells whether the list is the same, with the same readings."""
        text = " ".join(f"{doubt.key}:{doubt.fingerprint}" for doubt in self.doubts)
        return hashlib.sha256(text.encode()).hexdigest()[:16]


_kept: OrderedDict[int, Waiting] = OrderedDict()
_lock = MemoryLock()


def waiting(contest: Contest) -> Waiting:
    """The doubts at the revision that `contest` was loaded with, or at a newer one; found once for each."""
    with _lock:
        kept = _kept.get(contest.pk)
        if kept is None or kept.revision < contest.revision:
            kept = _kept[contest.pk] = _found(contest.pk, kept)
        _kept.move_to_end(contest.pk)
        while len(_kept) > CONTESTS_KEPT:
            _kept.popitem(last=False)
        return kept


def doubt_count(contest: Contest) -> int:
    """How much waits: the doubts, and what looked mixed up when somebody last looked."""
    return len(waiting(contest).doubts) + count_at_last_look(contest)


@one_snapshot()
def _found(contest_id: int, before: Waiting | None) -> Waiting:
    """The doubts as they are. Where only cards were read since, no more than those cards are looked at."""
    contest = Contest.objects.get(pk=contest_id)
    touched = touched_since(contest, before.revision) if before else None
    if before is None or touched is None or touched.cards is None:
        return Waiting(contest.revision, doubts_of(contest))
    if not (cards := touched.cards):
        return Waiting(contest.revision, before.doubts)
    others = [doubt for doubt in before.doubts if doubt.about != CardSlip.name or doubt.card not in cards]
    return Waiting(contest.revision, oldest_first([*others, *doubts_about_cards(contest, cards)]))


def forget_all() -> None:
    """Drop what is kept: for tests, whose databases start over with the same keys."""
    with _lock:
        _kept.clear()
