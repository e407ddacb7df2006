"""Building a timetable from nothing: slot by slot, or by colouring."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from random import Random

from reasons.planning.colouring import colour
from reasons.planning.puzzle import NOBODY, Puzzle
from reasons.planning.table import FREE, Table


def build(puzzle: Puzzle, random: Random | None = None, patient: bool = True) -> Table | None:
    """A timetable made slot by slot, those first who owe the most sets.

    In each slot as many rooms as can be are filled, by augmenting paths. Team-mates do not follow one another, unless
    a room could only be filled so: then it is, at once where not `patient`, otherwise if nobody else will come within
    half an hour. None if the rooms close before everybody is heard.
    """
    work = _Building(puzzle, random, patient)
    for slot in range(puzzle.horizon):
        if not work.left:
            break
        work.fill(slot)
    return None if work.left else work.table


def in_fewer_rooms(puzzle: Puzzle, longest: int) -> Iterator[Table]:
    """Timetables that leave rooms empty, for any number of slots below `longest` that fewer rooms would come out at.

    Where rooms keep to their classes, those of an uneven share break the rotation of everybody through all classes; so
    many rooms for each class as it needs may take less time than all of them.
    """
    loads = puzzle.loads()
    tried = set()
    for slots in range(longest - 1, 0, -1):
        used = tuple(sorted(_rooms_needed(puzzle, loads, slots)))
        if used in tried or len(used) == puzzle.rooms:
            continue
        tried.add(used)
        few = Puzzle(replace(puzzle.task, rooms=tuple(puzzle.task.rooms[room] for room in used)))
        made = build(few)
        if made is not None:
            yield _with_all_rooms(puzzle, made, used)


def _rooms_needed(puzzle: Puzzle, loads: Mapping[frozenset[int], int], slots: int) -> set[int]:
    """So many rooms of each group that alone can hear some sets, as hear these within so many slots."""
    used: set[int] = set()
    for rooms, sets in loads.items():
        used.update(sorted(rooms)[: -(-sets // slots)])
    return used


def _with_all_rooms(puzzle: Puzzle, made: Table, used: Sequence[int]) -> Table:
    table = Table(puzzle)
    for set_ in range(puzzle.count):
        table.put(set_, used[made.room[set_]], made.slot[set_])
    return table


class _Building:
    """A timetable filled up to some slot."""

    def __init__(self, puzzle: Puzzle, random: Random | None, patient: bool):
        self.puzzle = puzzle
        self.table = Table(puzzle)
        self.noise = random.random if random else int
        self.wait = puzzle.rather_wait if patient else 0
        self.owed = [{puzzle.on[set_]: set_ for set_ in sets} for sets in puzzle.sets_of]
        self.ready = puzzle.ready[:]
        self.last_team = puzzle.last_team[:]
        self.load = [0] * len(puzzle.classes)
        for on in puzzle.on:
            self.load[on] += 1
        self.left = puzzle.count

    def fill(self, slot: int) -> None:
        people = self._in_line(slot)
        if not people:
            return
        hears = self.puzzle.hears
        rooms = [room for room in range(self.puzzle.rooms) if hears[room] and self.puzzle.is_open(room, slot)]
        rooms.sort(key=lambda room: -max(map(self._pressure, hears[room])))
        heard = self._match(people, rooms)
        for room in rooms:
            if room not in heard:
                self._fill_with_team_mate(room, slot, people, heard)
        for room, place in heard.items():
            self._seat(place, room, slot)

    def _in_line(self, slot: int) -> list[int]:
        """Who may speak in this slot, the most urgent first: who owes the most sets."""
        line = sorted(
            (-len(owed), self.noise(), place)
            for place, owed in enumerate(self.owed)
            if owed and self.ready[place] <= slot and slot not in self.puzzle.away[place]
        )
        return [place for *_, place in line]

    def _pressure(self, on: int) -> float:
        return self.load[on] / len(self.puzzle.rooms_of[on])

    def _match(self, people: list[int], rooms: list[int]) -> dict[int, int]:
        """Room to contestant: as many as can be, the most urgent among them."""
        heard: dict[int, int] = {}
        for place in people:
            if len(heard) == len(rooms):
                break
            self._augment(place, rooms, heard, set())
        return heard

    def _augment(self, place: int, rooms: list[int], heard: dict[int, int], tried: set[int]) -> bool:
        for room in rooms:
            if room in tried or not self._suits(place, room):
                continue
            tried.add(room)
            if room not in heard or self._augment(heard[room], rooms, heard, tried):
                heard[room] = place
                return True
        return False

    def _suits(self, place: int, room: int) -> bool:
        team = self.puzzle.team[place]
        return (team == NOBODY or team != self.last_team[room]) and not self.puzzle.hears[room].isdisjoint(
            self.owed[place]
        )

    def _fill_with_team_mate(self, room: int, slot: int, people: list[int], heard: dict[int, int]) -> None:
        hears, team = self.puzzle.hears[room], self.last_team[room]
        if team == NOBODY:
            return
        waiting = set(heard.values())
        mate = next(
            (
                place
                for place in people
                if self.puzzle.team[place] == team and place not in waiting and not hears.isdisjoint(self.owed[place])
            ),
            None,
        )
        if mate is None:
            return
        others = (
            self.ready[place] <= slot + self.wait and self.puzzle.team[place] != team and not hears.isdisjoint(owed)
            for place, owed in enumerate(self.owed)
            if owed
        )
        if not self.wait or not any(others):
            heard[room] = mate

    def _seat(self, place: int, room: int, slot: int) -> None:
        on = max(self.puzzle.hears[room] & self.owed[place].keys(), key=lambda on: (self._pressure(on), -on))
        self.table.put(self.owed[place].pop(on), room, slot)
        self.load[on] -= 1
        self.ready[place] = self.puzzle.after[slot]
        self.last_team[room] = self.puzzle.team[place]
        self.left -= 1


def coloured(puzzle: Puzzle) -> Table | None:
    """A timetable by edge colouring, as short as the largest load; None where rests or hours stand in the way."""
    plain = puzzle.no_rest and not any(puzzle.ready) and not any(puzzle.opens)
    if not plain or any(puzzle.away) or any(puzzle.shut) or any(closes < puzzle.horizon for closes in puzzle.closes):
        return None
    rooms = _deal_out(puzzle)
    slots = colour(list(zip(puzzle.who, rooms, strict=True)))
    table = Table(puzzle)
    for set_ in range(puzzle.count):
        table.put(set_, rooms[set_], slots[set_])
    return table


def _deal_out(puzzle: Puzzle) -> list[int]:
    """A room for each set, so that the fullest room hears as few as can be.

    Each set goes to the least full room that can be reached: one that hears its class, or one to which such a room can
    pass a set on.
    """
    room_of = [FREE] * puzzle.count
    sets_in: list[list[set[int]]] = [[set() for _ in puzzle.classes] for _ in range(puzzle.rooms)]
    filled = [0] * puzzle.rooms
    for set_ in range(puzzle.count):
        came_from: dict[int, tuple[int, int] | None] = {}  # room: the room before it, and the class it takes over
        reach = list(puzzle.rooms_of[puzzle.on[set_]])
        came_from.update(dict.fromkeys(reach))
        for room in reach:
            for on, sets in enumerate(sets_in[room]):
                for further in puzzle.rooms_of[on] if sets else ():
                    if further not in came_from:
                        came_from[further] = (room, on)
                        reach.append(further)
        room = min(reach, key=lambda room: (filled[room], room))
        filled[room] += 1
        while (step := came_from[room]) is not None:
            before, on = step
            passed = min(sets_in[before][on])
            sets_in[before][on].remove(passed)
            sets_in[room][on].add(passed)
            room_of[passed] = room
            room = before
        sets_in[room][puzzle.on[set_]].add(set_)
        room_of[set_] = room
    return room_of
