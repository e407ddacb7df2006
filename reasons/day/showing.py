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
class TimetableRow:
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
    return [_cell(planned, names.get(planned.room, "gone")) for planned in sets]


def _cell(planned: PlannedSet, room: str, state: str = Slot.State.PLANNED.value) -> Cell:
    return Cell(clock_time(planned.start), room, planned.number, planned.class_number, state)


def by_time(rooms: Sequence[str], cells: Iterable[Cell]) -> list[TimetableRow]:
    ordered = sorted(cells)
    following = next((cell.time for cell in ordered if cell.state == Slot.State.PLANNED), "")
    rows = []
    for time, at_once in groupby(ordered, key=lambda cell: cell.time):
        there = {cell.room: cell for cell in at_once}
        rows.append(TimetableRow(time, [there.get(room) for room in rooms], time == following))
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

    def place(planned: PlannedSet | None) -> str:
        return f"{clock_time(planned.start)}, room {names.get(planned.room, 'gone')}" if planned else ""

    return [
        MoveLine(move.number, move.class_number, place(move.before), place(move.after), _change(move)) for move in moved
    ]


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
    moving = [move for move in moved if move.before and move.after]
    new, gone = sum(not move.before for move in moved), sum(not move.after for move in moved)
    said = ["Nobody moves."]
    if moving:
        people = len({move.number for move in moving})
        rooms = sum(move.changes_room for move in moving)
        farthest = max(abs(move.minutes) for move in moving)
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


def _count(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _agreed(verb: str, count: int) -> str:
    return f"{verb}s" if count == 1 else verb
