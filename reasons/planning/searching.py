"""Searching a small timetable through to the end: the best there is, or the proof that it has been found already.

Slot by slot, every way to fill the open rooms is tried, the empty room among them. A position from which the rest
cannot be done is remembered: what matters of it is who owes what, when each may speak again, and whose team spoke last
in each room; people and rooms that are alike in all of that are interchangeable.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from reasons.planning.plan import Bound
from reasons.planning.puzzle import NOBODY, Puzzle
from reasons.planning.table import Table

MOST_POSITIONS = 60_000
"""Positions looked at before the search is given up: some seconds."""


Position = tuple[Any, ...]


class GivenUp(Exception):
    """Raised when there are too many positions to look at them all."""


def search(puzzle: Puzzle, best: Table, bound: Bound, in_time: Callable[[], bool]) -> tuple[Table, bool]:
    """The best timetable, and True; or the best known when the search was given up, and False.

    `best` is a timetable that is known, `bound` what none can beat.
    """
    known, _ = best.cost()
    unavoidable = puzzle.rather_wait * bound.following
    budget = _Budget(in_time)
    try:
        for longest in range(bound.slots, known - unavoidable):
            for more, slots in enumerate(range(longest, bound.slots - 1, -puzzle.rather_wait)):
                solution = _Search(puzzle, slots, budget).run(bound.following + more)
                if solution is not None:
                    return solution, True
    except GivenUp:
        return best, False
    return best, True


class _Budget:
    def __init__(self, in_time: Callable[[], bool]):
        self.left, self.in_time = MOST_POSITIONS, in_time

    def spend(self) -> None:
        self.left -= 1
        if self.left < 0 or (self.left % 64 == 0 and not self.in_time()):
            raise GivenUp


class _Search:
    """Is there a timetable of so many slots with no more than so many following team-mates?"""

    def __init__(self, puzzle: Puzzle, slots: int, budget: _Budget):
        self.puzzle, self.slots, self.budget = puzzle, slots, budget
        self.owed = [{puzzle.on[set_]: set_ for set_ in sets} for sets in puzzle.sets_of]
        self.ready = puzzle.ready[:]
        self.last_team = puzzle.last_team[:]
        self.left = puzzle.count
        self.away = [tuple(sorted(slots)) for slots in puzzle.away]
        self.shut = [tuple(sorted(slots)) for slots in puzzle.shut]
        self.at: list[tuple[int, int, int]] = []
        self.hopeless: dict[Position, int] = {}  # position: with so many following or fewer there is no way

    def run(self, following: int) -> Table | None:
        if not self._slot(0, following):
            return None
        table = Table(self.puzzle)
        for place in self.at:
            table.put(*place)
        return table

    def _slot(self, slot: int, following: int) -> bool:
        self.budget.spend()
        if not self.left:
            return True
        if not self._can_be_done(slot):
            return False
        position = self._position(slot)
        if self.hopeless.get(position, NOBODY) >= following:
            return False
        rooms = [room for room in range(self.puzzle.rooms) if self.puzzle.is_open(room, slot)]
        if self._fill(rooms, slot, following):
            return True
        self.hopeless[position] = following
        return False

    def _can_be_done(self, slot: int) -> bool:
        puzzle = self.puzzle
        for place, owed in enumerate(self.owed):
            if owed and puzzle.hop[len(owed) - 1][max(slot, self.ready[place])] >= self.slots:
                return False
        room_slots = sum(
            max(0, min(puzzle.closes[r], self.slots) - max(puzzle.opens[r], slot)) for r in range(puzzle.rooms)
        )
        return room_slots >= self.left

    def _position(self, slot: int) -> Position:
        people = sorted(
            (self.puzzle.team[place], tuple(sorted(owed)), max(slot, self.ready[place]), self.away[place])
            for place, owed in enumerate(self.owed)
            if owed
        )
        rooms = sorted(
            (
                sorted(self.puzzle.hears[room]),
                self.puzzle.opens[room],
                self.puzzle.closes[room],
                self.last_team[room],
                self.shut[room],
            )
            for room in range(self.puzzle.rooms)
        )
        return slot, tuple(people), tuple((tuple(hears), *rest) for hears, *rest in rooms)

    def _fill(self, rooms: list[int], slot: int, following: int) -> bool:
        """Fill these rooms in this slot, and then the slots after it."""
        if not rooms:
            return self._slot(slot + 1, following)
        room, *others = rooms
        seen = set()
        for place, owed in enumerate(self.owed):
            if not owed or self.ready[place] > slot or slot in self.puzzle.away[place]:
                continue
            team = self.puzzle.team[place]
            mates = int(team == self.last_team[room] != NOBODY)
            if mates > following:
                continue
            for on in sorted(self.puzzle.hears[room] & owed.keys()):
                alike = team, tuple(sorted(owed)), on, self.away[place]
                if alike in seen:
                    continue
                seen.add(alike)
                if self._with(place, on, room, slot, others, following - mates):
                    return True
        return self._fill(others, slot, following)

    def _with(self, place: int, on: int, room: int, slot: int, others: list[int], following: int) -> bool:
        set_ = self.owed[place].pop(on)
        ready, last_team = self.ready[place], self.last_team[room]
        self.ready[place], self.last_team[room] = self.puzzle.after[slot], self.puzzle.team[place]
        self.left -= 1
        self.at.append((set_, room, slot))
        if self._fill(others, slot, following):
            return True
        self.at.pop()
        self.left += 1
        self.ready[place], self.last_team[room] = ready, last_team
        self.owed[place][on] = set_
        return False
