"""A timetable as pages show it: by time and room, by room, by number, and who moves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from contest.models import Contest
from reasons.day.timetable import as_planned
from reasons.models import Room, Slot
from reasons.planning import Move, PlannedSet
from reasons.planning.clock import clock_time


class Cell(NamedTuple):
    """One set as it is shown: `time` as it is planned, and `expected` where it will begin at another one."""

    time: str
    room: str
    number: int
    class_number: int
    state: str = Slot.State.PLANNED.value
    expected: str = ""

    @property
    def state_said(self) -> str:
        return str(Slot.State(self.state).label)


@dataclass(frozen=True, slots=True)
class TimetableRow:
    """One minute: a cell for each room, None where it is free."""

    time: str
    cells: list[Cell | None]
    is_next: bool = False  # the first in which somebody is still to begin


def cells_of(contest: Contest, slots: Iterable[Slot], expected: Mapping[int, int]) -> list[Cell]:
    """The sets of the timetable that is in force; `expected` are minutes after midnight, by the slot's key."""
    cells = []
    for slot in slots:
        cell = _cell(as_planned(contest, slot), slot.room.name, slot.state)
        begins = clock_time(expected[slot.pk]) if slot.pk in expected else cell.time
        cells.append(cell if begins == cell.time else cell._replace(expected=begins))
    return cells


def cells_planned(rooms: Sequence[Room], sets: Iterable[PlannedSet]) -> list[Cell]:
    """The sets of a draft."""
    names = {str(room.pk): room.name for room in rooms}
    return [_cell(planned, _name(names, planned.room)) for planned in sets]


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
        if planned is None:
            return ""
        return _("{time}, room {room}").format(time=clock_time(planned.start), room=_name(names, planned.room))

    return [
        MoveLine(move.number, move.class_number, place(move.before), place(move.after), _change(move)) for move in moved
    ]


def _name(names: Mapping[str, str], room: str) -> str:
    return names.get(room) or pgettext("a room", "gone")


def _change(move: Move) -> str:
    if not move.before:
        return pgettext("a set", "new")
    if not move.after:
        return pgettext("a set", "not planned any more")
    minutes = abs(move.minutes)
    later = ngettext("{count} minute later", "{count} minutes later", minutes)
    earlier = ngettext("{count} minute earlier", "{count} minutes earlier", minutes)
    when = (later if move.minutes > 0 else earlier).format(count=minutes) if minutes else ""
    return ", ".join(filter(None, [when, _("another room") if move.changes_room else ""]))


def in_short(moved: Sequence[Move]) -> str:
    """How many sets move, whose, and how far."""
    moving = [move for move in moved if move.before and move.after]
    new, gone = sum(not move.before for move in moved), sum(not move.after for move in moved)
    said = [_who_moves(moving) if moving else _("Nobody moves.")]
    if new:
        said.append(ngettext("{count} set is new.", "{count} sets are new.", new).format(count=new))
    if gone:
        text = ngettext("{count} set is not planned any more.", "{count} sets are not planned any more.", gone)
        said.append(text.format(count=gone))
    return " ".join(said)


def _who_moves(moving: Sequence[Move]) -> str:
    people = len({move.number for move in moving})
    rooms = sum(move.changes_room for move in moving)
    farthest = max(abs(move.minutes) for move in moving)
    far = ngettext("by {count} minute at most", "by {count} minutes at most", farthest).format(count=farthest)
    elsewhere = ngettext("{count} to another room", "{count} to another room", rooms).format(count=rooms)
    whose = ngettext("{count} contestant", "{count} contestants", people).format(count=people)
    how = ", ".join([far] * bool(farthest) + [elsewhere] * bool(rooms))
    text = ngettext("{count} set of {whose} moves: {how}.", "{count} sets of {whose} move: {how}.", len(moving))
    return text.format(count=len(moving), whose=whose, how=how)
