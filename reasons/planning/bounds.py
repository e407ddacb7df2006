"""What no timetable can beat, whatever the order of speaking.

The number of slots is at least

* what a group of rooms needs for the sets that only it can hear: sets over rooms, for every union of such groups;
* what one contestant needs for all their sets with the rests between, and while they are not elsewhere;
* and what both come to together: a contestant's j-th set cannot be before j rests have passed, nor so late that the
  sets still owed no longer fit. Sets with such windows fit into so many slots of so many rooms exactly when serving
  the most urgent first succeeds. (With 4 sets, 5 slots of rest and 8 rooms, 40 contestants need 3 x 6 + 5 = 23 slots:
  the fifth eight cannot begin before slot 5, and need 18 more.)

Team-mates are left out of account: a timetable that keeps them apart may have to be longer than the bound.

How often they must follow one another is bounded apart: in a room, between two sets of a team that do not follow one
another, somebody else speaks. So a team with more sets than all others and the rooms together follows itself.
"""

from __future__ import annotations

import heapq
from bisect import bisect_left
from collections import Counter, defaultdict
from itertools import combinations, count

from reasons.planning.plan import Bound, Limit
from reasons.planning.puzzle import NOBODY, Puzzle, no_room_left
from reasons.planning.task import Task

Reason = tuple[int, Limit, int, int]
"""So many slots because of what, with how many sets, of which contestant or of how many rooms."""

MOST_GROUPS = 10
"""Unions of more groups of rooms than this are not all tried: 2 to the power of it."""


def lower_bound(task: Task) -> Bound:
    return bound_of(Puzzle(task))


def bound_of(puzzle: Puzzle) -> Bound:
    """Raises CannotPlan where the rooms close too early for any timetable."""
    if not puzzle.count:
        return Bound(0, puzzle.first, "nobody")
    slots, limit, sets, of = max(_by_contestant(puzzle), _by_rooms(puzzle), key=lambda limit: limit[0])
    together = _by_both(puzzle, slots)
    if together > slots:
        return Bound(together, puzzle.ends(together), "together", following=following_bound(puzzle))
    return Bound(slots, puzzle.ends(slots), limit, sets, of, following_bound(puzzle))


def following_bound(puzzle: Puzzle) -> int:
    """How often at least somebody follows a team-mate, whatever the timetable: for each part of the rooms that shares
    no class with the others, what its largest team owes more than others can part."""
    unavoidable = 0
    for rooms in _parts(puzzle):
        heard = (set_ for set_ in range(puzzle.count) if not rooms.isdisjoint(puzzle.rooms_of[puzzle.on[set_]]))
        owed = Counter(puzzle.set_team[set_] for set_ in heard)
        for team, sets in owed.items():
            if team != NOBODY:
                others = owed.total() - sets
                fresh = sum(puzzle.last_team[room] != team for room in rooms)
                unavoidable += max(0, sets - others - fresh)  # more than that for one team at most
    return unavoidable


def _parts(puzzle: Puzzle) -> list[frozenset[int]]:
    """The rooms, put together where they hear a class that is owed in common."""
    parts: list[frozenset[int]] = []
    for hearing in map(frozenset, puzzle.rooms_of):
        touched = [part for part in parts if part & hearing]
        parts = [part for part in parts if part not in touched]
        parts.append(hearing.union(*touched))
    return parts


def _by_contestant(puzzle: Puzzle) -> Reason:
    def needed(place: int) -> int:
        slot = puzzle.ready[place]
        if not puzzle.away[place]:
            return puzzle.hop[len(puzzle.sets_of[place]) - 1][slot] + 1
        for _set in puzzle.sets_of[place]:  # none can be earlier than as early as it can be
            last = next(free for free in count(slot) if free not in puzzle.away[place])
            slot = puzzle.after[min(last, puzzle.horizon)]
        return last + 1

    place = max((place for place, sets in enumerate(puzzle.sets_of) if sets), key=needed)
    return needed(place), "contestant", len(puzzle.sets_of[place]), puzzle.numbers[place]


def _by_rooms(puzzle: Puzzle) -> Reason:
    loads = puzzle.loads()

    def needed(rooms: frozenset[int]) -> Reason:
        load = sum(sets for only, sets in loads.items() if only <= rooms)
        heard = slot = 0
        while heard < load:
            if slot == puzzle.horizon:
                raise no_room_left(load - heard)
            heard += sum(puzzle.is_open(room, slot) for room in rooms)
            slot += 1
        return slot, "rooms", load, len(rooms)

    return max(map(needed, _unions(list(loads))), key=lambda limit: limit[0])


def _unions(groups: list[frozenset[int]]) -> list[frozenset[int]]:
    whole = frozenset[int]().union(*groups)
    if len(groups) > MOST_GROUPS:
        return [whole, *groups]
    unions = {
        frozenset[int]().union(*some) for size in range(1, len(groups)) for some in combinations(groups, size)
    } - {whole}
    # In a fixed order, the whole first, so that equal bounds are always given the same reason.
    return [whole, *sorted(unions, key=sorted)]


def _by_both(puzzle: Puzzle, low: int) -> int:
    """The least number of slots, `low` or more, into which all sets fit by their windows."""
    return low + bisect_left(range(low, puzzle.horizon), True, key=lambda slots: _windows_fit(puzzle, slots))


def _windows_fit(puzzle: Puzzle, slots: int) -> bool:
    begins: defaultdict[int, list[int]] = defaultdict(list)
    for place, sets in enumerate(puzzle.sets_of):
        latest = slots - 1
        for owed in reversed(range(len(sets))):
            begins[puzzle.hop[owed][puzzle.ready[place]]].append(latest)
            latest = puzzle.before[latest]
    waiting: list[int] = []
    for slot in range(slots):
        for latest in begins.get(slot, ()):
            heapq.heappush(waiting, latest)
        for room in range(puzzle.rooms) if waiting else ():
            if waiting and puzzle.is_open(room, slot):
                heapq.heappop(waiting)
        if waiting and waiting[0] <= slot:
            return False
    return True  # nobody can begin after the last slot, since `slots` are enough for each contestant alone
