"""Looking for a timetable: a usable draft at once, and better ones from a process of its own while people look at it.

The process is started as the prints' are, so that the desks never wait for it. Drafts are kept in memory, the last few
of a contest; that rests on there being one serving process, as `up` starts it. After a restart one plans again.
"""

from __future__ import annotations

import subprocess
import threading
from collections import OrderedDict
from dataclasses import dataclass
from uuid import UUID

from contest.background import start_child
from contest.changes.locks import MemoryLock
from contest.models import Contest
from reasons.day.timetable import Draft, Planning, Wishes, first_draft, planning_of
from reasons.planning import CannotPlan, Move, moves
from reasons.planning.child import order_line, plan_from
from reasons.planning.puzzle import RATHER_WAIT

AT_ONCE = 0.3
"""Seconds for the first draft."""

LOOK_FOR = 20
"""Seconds in which a better one is looked for."""

KEPT = 8
"""Searches that are remembered; older ones are forgotten."""


@dataclass(eq=False)
class Search:
    """One planning, with every draft that was shown of it, each better than those before."""

    contest: int
    planning: Planning
    drafts: list[Draft]
    looks: int = 0
    child: subprocess.Popen[str] | None = None
    in_force: Draft | None = None

    @property
    def is_running(self) -> bool:
        return self.child is not None

    @property
    def version(self) -> str:
        """Changes whenever the page of the search does."""
        return f"{len(self.drafts)}-{'looking' if self.is_running else self.looks}-{bool(self.in_force)}"

    def draft(self, place: int | None = None) -> Draft:
        """The draft of a place from 1, the newest where none is named. Raises LookupError."""
        if place is not None and place < 1:
            raise LookupError(place)
        return self.drafts[-1 if place is None else place - 1]

    def moves(self, draft: Draft) -> list[Move]:
        """Who moves, against the timetable that was in force when this was planned."""
        return moves(self.planning.in_force, draft.sets)


_lock = MemoryLock()
_planning = MemoryLock()
_searches: OrderedDict[UUID, Search] = OrderedDict()


def search_for(key: UUID, contest: Contest, wishes: Wishes) -> None:
    """Plan, and go on looking for something better. Asked again with the same key it goes on with what it has.

    Raises NotPossible, in words.
    """
    with _planning:  # a button pressed twice sends the same key twice, at once
        if not find(key, contest):
            _begin(key, contest, wishes)


def _begin(key: UUID, contest: Contest, wishes: Wishes) -> None:
    planning = planning_of(contest, wishes)
    search = Search(contest.pk, planning, [first_draft(planning, AT_ONCE)])
    with _lock:
        _searches[key] = search
        dropped = [_searches.popitem(last=False)[1] for _ in range(len(_searches) - KEPT)]
    for old in dropped:
        stop(old)
    if not search.draft().proved:
        keep_searching(search)


def find(key: UUID, contest: Contest) -> Search | None:
    with _lock:
        search = _searches.get(key)
    return search if search and search.contest == contest.pk else None


def keep_searching(search: Search) -> None:
    """Look for something better in a process of its own; nothing if one looks already."""
    with _lock:
        if search.child:
            return
        search.looks += 1
        search.child = _child(search)
    threading.Thread(target=_hear, args=(search, search.child), name="timetable", daemon=True).start()


def stop(search: Search) -> None:
    """Look no further."""
    with _lock:
        child, search.child = search.child, None
    if child:
        child.terminate()


def _child(search: Search) -> subprocess.Popen[str]:
    planning = search.planning
    order = order_line(planning.task, planning.previous, search.looks - 1, LOOK_FOR * search.looks)
    child = start_child("reasons.planning.child", order)
    assert child.stdin is not None
    child.stdin.close()
    return child


def _hear(search: Search, child: subprocess.Popen[str]) -> None:
    assert child.stdout is not None
    with child.stdout:
        for line in child.stdout:
            try:
                draft = search.planning.draft(plan_from(line))
            except CannotPlan:  # a room would have to stay open longer
                continue
            if _cost(draft) < _cost(search.draft()):
                search.drafts.append(draft)
            elif draft.sets == search.draft().sets:
                search.drafts[-1] = draft  # now perhaps known to be the best
    child.wait()
    with _lock:
        if search.child is child:
            search.child = None


def _cost(draft: Draft) -> int:
    return draft.ends + RATHER_WAIT * draft.following


def use(search: Search, draft: Draft) -> None:
    """Note that the draft is in force, and look no further."""
    stop(search)
    search.in_force = draft
