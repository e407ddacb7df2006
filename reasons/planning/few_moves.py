"""Planning again so that few have to go elsewhere or at another time: as long a day, close to an earlier timetable.

Whoever can stay stays. The others look for a place: a free one costs nobody anything; from an occupied one somebody is
sent away, who looks for a place in turn. A small timetable is searched for the least number who are sent away, with
more and more of them, so that what is found first is the best there is; of a large one each set is helped by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from reasons.planning.puzzle import Puzzle
from reasons.planning.table import FREE, Table

Place = tuple[int, int]
"""A room and a slot; the room is FREE for a set that is new, or whose room is there no more."""

MOST_LOOKED_AT = 20_000
"""Sets that are given a place on trial before a search is given up: some seconds."""
MOST_SENT_AWAY = 3
"""Of one set of a large timetable."""


class _GivenUp(Exception):
    """Raised when there is too much to try."""


def moved(table: Table, had: Sequence[Place]) -> int:
    """How many sets are not where they were; a set that is new is not counted."""
    return sum(
        room != FREE and (table.room[set_], table.slot[set_]) != (room, slot) for set_, (room, slot) in enumerate(had)
    )


def fewest_moves(
    puzzle: Puzzle, had: Sequence[Place], slots: int, following: int, most: int, in_time: Callable[[], bool]
) -> Table | None:
    """The timetable of so many slots and no more who follow a team-mate in which fewest of all move, below `most`.

    None where there is none, or where it takes too long to say.
    """
    work = _Moving(puzzle, had, slots, following, in_time)
    try:
        for sent_away in range(most - work.homeless_before):
            if work.place(list(work.homeless), sent_away):
                return work.table
    except _GivenUp:
        pass
    return None


def few_moves(
    puzzle: Puzzle, had: Sequence[Place], slots: int, following: int, in_time: Callable[[], bool]
) -> Table | None:
    """The same for a large timetable: each set by itself finds the place for which fewest others move."""
    work = _Moving(puzzle, had, slots, following, in_time)
    try:
        for set_ in work.homeless:
            if not any(work.place([set_], sent_away) for sent_away in range(MOST_SENT_AWAY + 1)):
                return None
    except _GivenUp:
        return None
    return work.table


def put_back(table: Table, had: Sequence[Place]) -> None:
    """Let everybody go back to where they were, where that is free now and makes nothing worse."""
    following, again = len(table.following()), True
    while again:
        again = False
        for set_, place in enumerate(had):
            here = table.room[set_], table.slot[set_]
            if place[0] == FREE or here == place or not _is_free(table, set_, place) or place[1] >= table.length:
                continue
            table.take(set_)
            table.put(set_, *place)
            if len(table.following()) > following:
                table.take(set_)
                table.put(set_, *here)
            else:
                again = True
    table.shrink()


def _is_free(table: Table, set_: int, place: Place) -> bool:
    return table.heard_in(set_, *place) and table.at[place[0]][place[1]] == FREE and table.rests(set_, place[1])


class _Moving:
    """A timetable in which everybody stays who can, and the `homeless` have no place yet."""

    def __init__(self, puzzle: Puzzle, had: Sequence[Place], slots: int, following: int, in_time: Callable[[], bool]):
        self.puzzle, self.had, self.slots, self.following = puzzle, had, slots, following
        self.in_time, self.left = in_time, MOST_LOOKED_AT
        self.table = Table(puzzle)
        self.homeless: list[int] = []
        self.settled: set[int] = set()
        for set_ in sorted(range(puzzle.count), key=lambda set_: (had[set_][1], set_)):
            room, slot = had[set_]
            if room != FREE and slot < slots and _is_free(self.table, set_, (room, slot)):
                self.table.put(set_, room, slot)
            else:
                self.homeless.append(set_)
        self.homeless_before = sum(had[set_][0] != FREE for set_ in self.homeless)

    def place(self, homeless: list[int], sent_away: int) -> bool:
        """Give each of these a place, and send away no more than so many others. True, and done, if that succeeds."""
        if not homeless:
            return self._may_stay_so(sent_away)
        self.left -= 1
        if self.left < 0 or (self.left % 64 == 0 and not self.in_time()):
            raise _GivenUp
        set_, *others = homeless
        self.settled.add(set_)
        for room, slot in self._places(set_):
            away = self._in_the_way(set_, room, slot)
            if away is None or len(away) > sent_away:
                continue
            before = [(other, self.table.room[other], self.table.slot[other]) for other in away]
            for other in away:
                self.table.take(other)
            self.table.put(set_, room, slot)
            if self.place([*others, *away], sent_away - len(away)):
                return True
            self.table.take(set_)
            for other, *place in before:
                self.table.put(other, *place)
        self.settled.discard(set_)
        return False

    def _places(self, set_: int) -> Iterator[Place]:
        """Where a set may be heard, the nearest in time to where it was first, and of these its own room."""
        room_had, slot_had = self.had[set_]
        rooms = sorted(self.puzzle.rooms_of[self.puzzle.on[set_]], key=lambda room: room != room_had)
        place = self.puzzle.who[set_]
        for slot in sorted(range(self.puzzle.ready[place], self.slots), key=lambda slot: abs(slot - slot_had)):
            for room in rooms if self.puzzle.can_speak(place, slot) else ():
                if self.puzzle.is_open(room, slot) and (room, slot) != (room_had, slot_had):
                    yield room, slot

    def _in_the_way(self, set_: int, room: int, slot: int) -> list[int] | None:
        """Who would have to go: who is there, and the contestant's own sets too near. None where one cannot."""
        table, puzzle = self.table, self.puzzle
        there = table.at[room][slot]
        away = [] if there == FREE else [there]
        for other in puzzle.sets_of[puzzle.who[set_]]:
            taken = table.slot[other]
            if other in (set_, there) or taken == FREE:
                continue
            if puzzle.after[taken] > slot if taken < slot else puzzle.after[slot] > taken:
                away.append(other)
        return None if self.settled.intersection(away) else away

    def _may_stay_so(self, sent_away: int) -> bool:
        """Do few enough follow a team-mate? If not, one of two who do, or whoever could come between, goes."""
        following = self.table.following()
        if len(following) <= self.following:
            return True
        if not sent_away:
            return False
        for other in range(self.puzzle.count):
            if other in self.settled:
                continue
            place = self.table.room[other], self.table.slot[other]
            self.table.take(other)
            if self.place([other], sent_away - 1):
                return True
            self.table.put(other, *place)
        return False
