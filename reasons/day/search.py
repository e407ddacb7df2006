"""Looking for a timetable: a usable draft at once, and better ones from a process of its own while people look at it.

Looking is a job (`contest.jobs`), so that the desks never wait for it. What was found is kept in tables, the last few
searches of a contest, so that every process that serves shows it, goes on with it and ends it. Nothing of the contest
changes by it, so the trail says nothing of it.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from contest.background import start_child
from contest.changes import changes
from contest.changes.held import Held
from contest.jobs import Attempt, Line
from contest.models import Contest
from reasons.day.kept import draft_as_json, draft_from, planning_as_json, planning_from
from reasons.day.timetable import Draft, Planning, Wishes, first_draft, planning_of
from reasons.models import TimetableSearch
from reasons.planning import CannotPlan, Move, moves
from reasons.planning.child import order_line, plan_from
from reasons.planning.puzzle import RATHER_WAIT

log = logging.getLogger(__name__)

State = TimetableSearch.State

AT_ONCE = 0.3
"""Seconds for the first draft."""

LOOK_FOR = 20
"""Seconds in which a better one is looked for."""
AT_A_TIME = 4
"""Contests for which a process looks at once: those that plan at the same moment share the machine rather than wait for
one another."""

KEPT = 8
"""Searches of a contest that are remembered; older ones are forgotten."""


@dataclass(frozen=True, slots=True)
class Search:
    """One planning as it is now: how many drafts there are, each better than those before, and which is in force."""

    row: TimetableSearch
    planning: Planning
    count: int

    @property
    def is_running(self) -> bool:
        return self.row.state != State.OVER

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
        keep_searching(Search(row, planning, 1))


@changes
def _begin(key: UUID, contest: Contest, planning: Planning, draft: Draft) -> TimetableSearch | None:
    """None where it is there already: a button pressed twice sends the same key twice, at once."""
    new = {"contest": contest, "planning": planning_as_json(planning)}
    row, is_new = TimetableSearch.objects.get_or_create(key=key, defaults=new)
    if not is_new:
        return None
    row.drafts.create(place=1, made=draft_as_json(draft))
    old = list(contest.timetable_searches.order_by("-pk").values_list("pk", flat=True)[KEPT:])
    TimetableSearch.objects.filter(pk__in=old).delete()
    for pk in old:
        line.cancelled(pk)
    return row


def find(key: UUID, contest: Contest) -> Search | None:
    """None too where an older Tanbark kept what this one does not know."""
    row = TimetableSearch.objects.filter(key=key, contest=contest).first()
    if row is None:
        return None
    try:
        return Search(row, planning_from(row.planning), row.drafts.count())
    except (KeyError, TypeError, ValueError):
        return None


@changes
def keep_searching(search: Search) -> None:
    """Look for something better in a process of its own; nothing if one looks already, or is about to."""
    idle = TimetableSearch.objects.filter(pk=search.row.pk, state=State.OVER, looks=search.looks)
    if idle.update(looks=search.looks + 1, state=State.WAITING):
        line.ordered()
        transaction.on_commit(line.go_on)


def _look(row: TimetableSearch, attempt: Attempt[TimetableSearch]) -> None:
    try:
        if search := find(row.key, row.contest):
            _hear(search, attempt)
    except (OSError, ValueError):  # the system has no room for it, or it ended in the middle of a word
        log.exception("looking for a timetable ended early")
    attempt.write(state=State.OVER)


def _hear(search: Search, attempt: Attempt[TimetableSearch]) -> None:
    planning, best = search.planning, search.draft()
    order = order_line(planning.task, planning.previous, search.looks - 1, LOOK_FOR * search.looks)
    with start_child("reasons.planning.child", order) as child:
        attempt.ends_with(child)
        assert child.stdout is not None
        for told in child.stdout:
            try:
                draft = planning.draft(plan_from(told))
            except CannotPlan:  # a room would have to stay open longer
                continue
            if _cost(draft) < _cost(best) or (draft.sets == best.sets and draft.proved and not best.proved):
                if not _keep(attempt, draft, is_new=draft.sets != best.sets):
                    child.terminate()
                best = draft


@changes
def _keep(attempt: Attempt[TimetableSearch], draft: Draft, is_new: bool) -> bool:
    """False where nobody wants it any more."""
    row = attempt.mine.select_for_update().first()
    if row is None:
        return False
    if is_new:
        row.drafts.create(place=row.drafts.count() + 1, made=draft_as_json(draft))
    else:
        row.drafts.filter(place=row.drafts.count()).update(made=draft_as_json(draft))
    return True


def _cost(draft: Draft) -> int:
    return draft.ends + RATHER_WAIT * draft.following


@changes
def use(search: Search, place: int) -> None:
    """Note that a draft is in force, and look no further."""
    TimetableSearch.objects.filter(pk=search.row.pk).update(used=place, state=State.OVER)
    line.cancelled(search.row.pk)


line = Line(
    "timetables",
    Held.TIMETABLE,
    lambda: TimetableSearch.objects.select_related("contest"),
    _look,
    waits=State.WAITING,
    runs=State.LOOKING,
    at_once=AT_A_TIME,
)
