"""Looking for a timetable: a usable draft at once, and better ones from a process of its own while people look at it.

The process is started as the prints' are, so that the desks never wait for it. What was found is kept in tables, the
last few searches of a contest, so that every process that serves shows it, goes on with it and ends it. Nothing of the
contest changes by it, so the trail says nothing of it.
"""

from __future__ import annotations

import subprocess
import threading
import time
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from uuid import UUID

from django.db import connections, transaction
from django.db.models import Q, QuerySet
from django.db.models.functions import Now

from contest.background import start_child
from contest.changes import changes
from contest.models import Contest
from reasons.day.kept import draft_as_json, draft_from, planning_as_json, planning_from
from reasons.day.timetable import Draft, Planning, Wishes, first_draft, planning_of
from reasons.models import TimetableSearch
from reasons.planning import CannotPlan, Move, moves
from reasons.planning.child import order_line, plan_from
from reasons.planning.puzzle import RATHER_WAIT

AT_ONCE = 0.3
"""Seconds for the first draft."""

LOOK_FOR = 20
"""Seconds in which a better one is looked for."""
LATE = 20
"""Seconds more, after which whoever looked has ended for sure, however it ended."""
ASK_EVERY = 0.5
"""Seconds between two questions whether anybody wants something better still."""

KEPT = 8
"""Searches of a contest that are remembered; older ones are forgotten."""

LOOKED_FOR = Q(looks_until__gt=Now())


@dataclass(frozen=True, slots=True)
class Search:
    """One planning as it is now: how many drafts there are, each better than those before, and which is in force."""

    row: TimetableSearch
    planning: Planning
    count: int
    is_running: bool

    @property
    def looks(self) -> int:
        return self.row.looks

    @property
    def in_force(self) -> Draft | None:
        return self.draft(self.row.used) if self.row.used else None

    @property
    def version(self) -> str:
        """Changes whenever the page of the search does."""
        return f"{self.count}-{'looking' if self.is_running else self.looks}-{bool(self.row.used)}"

    def draft(self, place: int | None = None) -> Draft:
        """The draft of a place from 1, the newest where none is named. Raises LookupError."""
        made = self.row.drafts.filter(place=self.count if place is None else place).first()
        if made is None:
            raise LookupError(place)
        return draft_from(made.made, self.planning)

    def moves(self, draft: Draft) -> list[Move]:
        """Who moves, against the timetable that was in force when this was planned."""
        return moves(self.planning.in_force, draft.sets)


def search_for(key: UUID, contest: Contest, wishes: Wishes) -> None:
    """Plan, and go on looking for something better. Asked again with the same key it goes on with what it has.

    Raises NotPossible, in words.
    """
    if find(key, contest):
        return
    planning = planning_of(contest, wishes)
    draft = first_draft(planning, AT_ONCE)
    row = _begin(key, contest, planning, draft)
    if row and not draft.proved:
        keep_searching(Search(row, planning, 1, False))


@changes
def _begin(key: UUID, contest: Contest, planning: Planning, draft: Draft) -> TimetableSearch | None:
    """None where it is there already: a button pressed twice sends the same key twice, at once."""
    new = {"contest": contest, "planning": planning_as_json(planning)}
    row, is_new = TimetableSearch.objects.get_or_create(key=key, defaults=new)
    if not is_new:
        return None
    row.drafts.create(place=1, made=draft_as_json(draft))
    old = contest.timetable_searches.order_by("-pk").values_list("pk", flat=True)[KEPT:]
    TimetableSearch.objects.filter(pk__in=list(old)).delete()
    return row


def find(key: UUID, contest: Contest) -> Search | None:
    """None too where an older Tanbark kept what this one does not know."""
    row = TimetableSearch.objects.filter(key=key, contest=contest).annotate(is_running=LOOKED_FOR).first()
    if row is None:
        return None
    try:
        return Search(row, planning_from(row.planning), row.drafts.count(), bool(row.is_running))
    except (KeyError, TypeError, ValueError):
        return None


@changes
def keep_searching(search: Search) -> None:
    """Look for something better in a process of its own; nothing if one looks already."""
    look = search.looks + 1
    until = Now() + timedelta(seconds=LOOK_FOR * look + LATE)
    idle = TimetableSearch.objects.filter(~LOOKED_FOR, pk=search.row.pk, looks=look - 1)
    if idle.update(looks=look, looks_until=until):
        transaction.on_commit(partial(_in_a_thread, search, look))


def _in_a_thread(search: Search, look: int) -> None:
    threading.Thread(target=_look, args=[search, look], name="timetable", daemon=True).start()


def _look(search: Search, look: int) -> None:
    mine = TimetableSearch.objects.filter(pk=search.row.pk, looks=look)
    try:
        _hear(search, mine.exclude(looks_until=None), look)
    finally:
        _ended(mine)
        connections.close_all()


def _hear(search: Search, wanted: QuerySet[TimetableSearch], look: int) -> None:
    planning, best = search.planning, search.draft()
    order = order_line(planning.task, planning.previous, look - 1, LOOK_FOR * look)
    with start_child("reasons.planning.child", order) as child:
        assert child.stdin is not None
        assert child.stdout is not None
        child.stdin.close()
        threading.Thread(target=_end_unwanted, args=[child, wanted], name="timetable-end", daemon=True).start()
        for line in child.stdout:
            try:
                draft = planning.draft(plan_from(line))
            except CannotPlan:  # a room would have to stay open longer
                continue
            if _cost(draft) < _cost(best) or (draft.sets == best.sets and draft.proved and not best.proved):
                _keep(wanted, draft, is_new=draft.sets != best.sets)
                best = draft


def _end_unwanted(child: subprocess.Popen[str], wanted: QuerySet[TimetableSearch]) -> None:
    """End it once somebody, at whichever process, looks no further."""
    try:
        while child.poll() is None:
            if not wanted.exists():
                child.terminate()
            time.sleep(ASK_EVERY)
    finally:
        connections.close_all()


@changes
def _keep(wanted: QuerySet[TimetableSearch], draft: Draft, is_new: bool) -> None:
    row = wanted.select_for_update().first()
    if row is None:
        return
    if is_new:
        row.drafts.create(place=row.drafts.count() + 1, made=draft_as_json(draft))
    else:
        row.drafts.filter(place=row.drafts.count()).update(made=draft_as_json(draft))


@changes
def _ended(mine: QuerySet[TimetableSearch]) -> None:
    mine.update(looks_until=None)


def _cost(draft: Draft) -> int:
    return draft.ends + RATHER_WAIT * draft.following


@changes
def use(search: Search, place: int) -> None:
    """Note that a draft is in force, and look no further."""
    TimetableSearch.objects.filter(pk=search.row.pk).update(used=place, looks_until=None)
