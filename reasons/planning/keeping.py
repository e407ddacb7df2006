"""Building a timetable after an earlier one, so that few have to go elsewhere or at another time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from reasons.planning.puzzle import Puzzle
from reasons.planning.table import FREE, Table

Earlier = Mapping[tuple[int, int], tuple[int, str]]
"""(number, class) to the minute and the room."""


def keep_to(puzzle: Puzzle, earlier: Earlier) -> Table | None:
    """A timetable that keeps to an earlier one. None if the rooms close before everybody is heard.

    Whoever can stays in the room and at the time; where a room is behind, its people follow in their order as soon as
    it is free. The others are few: their room closed, they are late or not rested, or they are new. They go to the
    place that is nearest in time, or change places with somebody near whom that suits.
    """
    table = Table(puzzle)
    had = places_had(puzzle, earlier)
    left = []
    free_from = puzzle.opens[:]
    for set_ in sorted(range(puzzle.count), key=lambda set_: (had[set_], set_)):
        slot, room = had[set_]
        if room != FREE:
            slot = max(slot, free_from[room])
        if room == FREE or not table.heard_in(set_, room, slot) or not table.rests(set_, slot):
            left.append(set_)
            continue
        table.put(set_, room, slot)
        free_from[room] = slot + 1
    for set_ in left:
        if not _settle(table, set_, *had[set_]):
            return None
    return table


def places_had(puzzle: Puzzle, earlier: Earlier) -> list[tuple[int, int]]:
    """The slot and the room that each set had; for a new one the last slot of all and no room."""
    rooms = {room.name: place for place, room in enumerate(puzzle.task.rooms)}
    places = []
    for who, on in zip(puzzle.who, puzzle.on, strict=True):
        minute, name = earlier.get((puzzle.numbers[who], puzzle.classes[on]), (None, ""))
        slot = puzzle.horizon if minute is None else puzzle.first_slot(minute)
        places.append((slot, rooms.get(name, FREE)))
    return places


def _settle(table: Table, set_: int, slot_had: int, room_had: int) -> bool:
    """Give a place to a set that lost its own: a free one near by, another's near by, or the first free one later."""
    puzzle = table.puzzle
    wanted = min(max(slot_had, puzzle.ready[puzzle.who[set_]]), puzzle.horizon)
    near = range(max(0, wanted - puzzle.rather_wait), min(puzzle.horizon, wanted + puzzle.rather_wait + 1))
    for slot in sorted(near, key=lambda slot: (abs(slot - wanted), slot)):
        if _take_free(table, set_, [slot], room_had):
            return True
    had_is_free = room_had != FREE and puzzle.is_open(room_had, slot_had) and table.at[room_had][slot_had] == FREE
    if had_is_free and _change_places(table, set_, wanted, (room_had, slot_had)):
        return True
    return _take_free(table, set_, range(puzzle.horizon), room_had)


def _take_free(table: Table, set_: int, slots: Iterable[int], room_had: int) -> bool:
    rooms = sorted(table.puzzle.rooms_of[table.puzzle.on[set_]], key=lambda room: room != room_had)
    for slot in slots:
        if table.rests(set_, slot):
            for room in rooms:
                if table.at[room][slot] == FREE and table.heard_in(set_, room, slot):
                    table.put(set_, room, slot)
                    return True
    return False


def _change_places(table: Table, set_: int, wanted: int, free: tuple[int, int]) -> bool:
    """Let another, whose place suits the set and is near the wanted slot, go to a free place instead."""
    puzzle = table.puzzle
    others = (other for other in range(puzzle.count) if table.slot[other] != FREE)
    for other in sorted(others, key=lambda other: abs(table.slot[other] - wanted)):
        place = table.room[other], table.slot[other]
        if abs(place[1] - wanted) > puzzle.rather_wait:
            break
        if puzzle.who[other] == puzzle.who[set_]:
            continue
        if not table.heard_in(set_, *place) or not table.heard_in(other, *free):
            continue
        if table.rests(set_, place[1]) and table.rests(other, free[1]):
            table.take(other)
            table.put(set_, *place)
            table.put(other, *free)
            return True
    return False
