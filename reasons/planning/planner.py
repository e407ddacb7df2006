"""Making a timetable: a usable one at once, then better ones while there is time."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from itertools import takewhile
from random import Random

from reasons.planning.bounds import bound_of
from reasons.planning.building import build, coloured, in_fewer_rooms
from reasons.planning.few_moves import few_moves, fewest_moves, moved, put_back
from reasons.planning.keeping import keep_to, places_had
from reasons.planning.mending import mend, squeeze
from reasons.planning.plan import Bound, Plan
from reasons.planning.puzzle import Puzzle
from reasons.planning.searching import search
from reasons.planning.table import Table
from reasons.planning.task import CannotPlan, Task
from scoring.core.texts import gettext as _

ROUNDS = 30
"""How many times it starts anew when the lower bound is not reached: counted, so that equal tasks give equal plans."""

SMALL = 40
"""Sets up to which a timetable is searched through to the end, after FEW_ROUNDS."""

FEW_ROUNDS = 4


def plan(
    task: Task,
    *,
    seed: int = 0,
    budget_seconds: float = 10,
    on_better: Callable[[Plan], None] | None = None,
    previous: Plan | None = None,
) -> Plan:
    """The best timetable found in the time; `on_better` is given each one that is better than those before.

    The same task and seed give the same timetable, unless the time runs out. With `previous`, whoever can keeps the
    room and the time of an earlier timetable, and is moved only to end earlier. Raises CannotPlan.
    """
    ends = time.monotonic() + budget_seconds
    puzzle = Puzzle(task)
    work = _Planning(puzzle, bound_of(puzzle), Random(seed), lambda: time.monotonic() < ends, on_better)  # noqa: S311
    if previous is None:
        work.from_nothing()
    else:
        work.after(previous)
    return work.plan()


class _Planning:
    def __init__(
        self,
        puzzle: Puzzle,
        bound: Bound,
        random: Random,
        in_time: Callable[[], bool],
        on_better: Callable[[Plan], None] | None,
    ):
        self.puzzle, self.bound, self.random, self.in_time = puzzle, bound, random, in_time
        self.on_better = on_better or (lambda plan: None)
        self.is_small = puzzle.count <= SMALL
        self.best: Table | None = None
        self.proved = False

    @property
    def reached(self) -> bool:
        least = self.bound.slots + self.puzzle.rather_wait * self.bound.following
        return self.best is not None and self.best.cost()[0] <= least

    def from_nothing(self) -> None:
        self.offer(build(self.puzzle))
        if not self.reached:
            self.offer(coloured(self.puzzle), and_mend=True)
        self.leave_rooms_empty()
        for round in self.rounds(FEW_ROUNDS if self.is_small else ROUNDS):
            self.offer(build(self.puzzle, self.random, patient=round % 3 < 2), and_mend=True)
            if round == 0 and self.best:
                self.mend_best()
        self.search_small()
        if self.best is None:
            raise CannotPlan(
                _(
                    "no timetable was found in which everybody is heard before the rooms close: "
                    "let a room close later, or ask for less time between sets"
                )
            )

    def leave_rooms_empty(self) -> None:
        if self.best is None or self.reached:
            return
        for table in in_fewer_rooms(self.puzzle, self.best.length):
            if not self.in_time():
                break
            self.offer(table)

    def rounds(self, most: int) -> Iterator[int]:
        return takewhile(lambda round: not self.reached and self.in_time(), range(most))

    def after(self, previous: Plan) -> None:
        earlier = {(planned.number, planned.class_number): (planned.start, planned.room) for planned in previous.sets}
        kept = keep_to(self.puzzle, earlier)
        if kept is None:
            self.from_nothing()
            return
        squeeze(kept)
        self._take(kept)
        for round in self.rounds(ROUNDS):
            state, cost = kept.state(), kept.cost()[0]
            mend(kept, self.bound.slots, self.random if round else None, self.in_time)
            if kept.cost()[0] < cost:
                self._take(kept)
            else:
                kept.restore(state)
        self.search_small()
        self.move_few([(room, slot) for slot, room in places_had(self.puzzle, earlier)])

    def move_few(self, had: list[tuple[int, int]]) -> None:
        """As long a day, and as many who follow team-mates, with fewer who move."""
        puzzle, best = self.puzzle, self.best
        assert best is not None
        put_back(best, had)
        slots, following, most = best.length, len(best.following()), moved(best, had)
        closer = None
        if self.is_small:
            closer = fewest_moves(puzzle, had, slots, following, most, self.in_time)
        closer = closer or few_moves(puzzle, had, slots, following, self.in_time)
        self._take(closer if closer and moved(closer, had) < most else best)

    def offer(self, table: Table | None, and_mend: bool = False) -> None:
        """Take a timetable up if it is better than the best so far."""
        if table is None:
            return
        squeeze(table)
        if self.best is None:
            self._take(table)
            if and_mend:
                self.mend_best()
            return
        if and_mend:
            mend(table, self.bound.slots, self.random, self.in_time)
        if table.cost() < self.best.cost():
            self._take(table)

    def mend_best(self) -> None:
        assert self.best is not None
        before = self.best.cost()
        mend(self.best, self.bound.slots, self.random, self.in_time)
        if self.best.cost() < before:
            self.on_better(self.plan())

    def search_small(self) -> None:
        if self.best is None or self.reached or not self.is_small:
            return
        table, self.proved = search(self.puzzle, self.best, self.bound, self.in_time)
        if table is not self.best:
            squeeze(table)
            self._take(table)

    def _take(self, table: Table) -> None:
        self.best = table
        self.on_better(self.plan())

    def plan(self) -> Plan:
        assert self.best is not None
        return Plan(
            sets=self.puzzle.planned(self.best.room, self.best.slot),
            bound=self.bound,
            following=len(self.best.following()),
            proved=self.proved or self.reached,
        )
