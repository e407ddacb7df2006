"""A timetable as pages show it: by time and room, by room, by number, and who moves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from contest.models import Contest
from reasons.day.timetable import as_planned
from reasons.models import Room, Slot
from reasons.planning import Move, PlannedSet
from reasons.planning.clock import clock_time


class Cell(NamedTuple):
    """One set as it is shown."""

    time: str
    room: str
    number: int
    class_number: int
    state: str = Slot.State.PLANNED.value


@dataclass(frozen=True, slots=True)
class Row:
    """One minute: a cell for each room, None where it is free."""

    time: str
    cells: list[Cell | None]
    is_next: bool = False  # the first in which somebody is still to begin


def cells_of(contest: Contest, slots: Iterable[Slot]) -> list[Cell]:
    """The sets of the timetable that is in force."""
    return [_cell(as_planned(contest, slot), slot.room.name, slot.state) for slot in slots]


def cells_planned(rooms: Sequence[Room], sets: Iterable[PlannedSet]) -> list[Cell]:
    """The sets of a draft."""
    names = {str(room.pk): room.name for room in rooms}
    return [_cell(one, names.get(one.room, "gone")) for one in sets]


def _cell(one: PlannedSet, room: str, state: str = Slot.State.PLANNED.value) -> Cell:
    return Cell(clock_time(one.start), room, one.number, one.class_number, state)


def by_time(rooms: Sequence[str], cells: Iterable[Cell]) -> list[Row]:
    ordered = sorted(cells)
    following = next((cell.time for cell in ordered if cell.state == Slot.State.PLANNED), "")
    rows = []
    for time, at_once in groupby(ordered, key=lambda cell: cell.time):
        there = {cell.room: cell for cell in at_once}
        rows.append(Row(time, [there.get(room) for room in rooms], time == following))
    return rows


def by_number(cells: Iterable[Cell]) -> list[tuple[int, list[Cell]]]:
    ordered = sorted(cells, key=lambda cell: (cell.number, cell.time))
    return [(number, list(own)) for number, own in groupby(ordered, key=lambda cell: cell.number)]


class MoveLine(NamedTuple):
    """Who goes where instead, in words."""

    number: int
    class_number: int
    before: str
    after: str
    change: str


def move_lines(rooms: Sequence[Room], moved: Iterable[Move]) -> list[MoveLine]:
    names = {str(room.pk): room.name for room in rooms}

    def place(one: PlannedSet | None) -> str:
        return f"{clock_time(one.start)}, room {names.get(one.room, 'gone')}" if one else ""

    return [MoveLine(one.number, one.class_number, place(one.before), place(one.after), _change(one)) for one in moved]


def _change(move: Move) -> str:
    if not move.before:
        return "new"
    if not move.after:
        return "not planned any more"
    way = "later" if move.minutes > 0 else "earlier"
    when = f"{_count(abs(move.minutes), 'minute')} {way}" if move.minutes else ""
    return ", ".join(filter(None, [when, "another room" if move.changes_room else ""]))


def in_short(moved: Sequence[Move]) -> str:
    """How many sets move, whose, and how far."""
    moving = [one for one in moved if one.before and one.after]
    new, gone = sum(not one.before for one in moved), sum(not one.after for one in moved)
    said = ["Nobody moves."]
    if moving:
        people = len({one.number for one in moving})
        rooms = sum(one.changes_room for one in moving)
        farthest = max(abs(one.minutes) for one in moving)
        far = f"by {_count(farthest, 'minute')} at most" if farthest else ""
        elsewhere = f"{rooms} to another room" if rooms else ""
        how = ", ".join(filter(None, [far, elsewhere]))
        said = [
            f"{_count(len(moving), 'set')} of {_count(people, 'contestant')} {_agreed('move', len(moving))}: {how}."
        ]
    if new:
        said.append(f"{_count(new, 'set')} {'is' if new == 1 else 'are'} new.")
    if gone:
        said.append(f"{_count(gone, 'set')} {'is' if gone == 1 else 'are'} not planned any more.")
    return " ".join(said)


def _count(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _agreed(verb: str, count: int) -> str:
    return f"{verb}s" if count == 1 else verb
