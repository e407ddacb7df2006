"""Who goes where now and next: what every room is doing, and how far behind its timetable it is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone

from contest.models import Contest
from contest.web.revisions import once_a_version
from reasons.day.hours import minute_now, minute_of
from reasons.day.showing import Cell, cells_of
from reasons.day.timetable import AT_THE_DOOR, BEGUN, rooms_of, slots_of
from reasons.models import Room, Slot

LATER = 4
"""How many are shown after those who wait at the door."""


@dataclass(frozen=True, slots=True)
class RoomNow:
    """What one room is doing: its sets in the order of time, and how many minutes it is behind."""

    name: str
    cells: list[Cell]
    behind: int

    @property
    def speaking(self) -> Cell | None:
        return next(iter(self._in(Slot.State.SPEAKING)), None)

    @property
    def next(self) -> Cell | None:
        return next(iter(self._in(Slot.State.PLANNED)), None)

    @property
    def on_deck(self) -> Cell | None:
        return next(iter(self._in(Slot.State.PLANNED)[1:]), None)

    @property
    def later(self) -> list[Cell]:
        return self._in(Slot.State.PLANNED)[AT_THE_DOOR : AT_THE_DOOR + LATER]

    @property
    def heard(self) -> int:
        return len(self._in(Slot.State.HEARD))

    @property
    def absent(self) -> list[Cell]:
        """Who was called in vain: they should see the steward."""
        return self._in(Slot.State.ABSENT)

    @property
    def is_done(self) -> bool:
        return bool(self.cells) and not self.speaking and not self.next

    def _in(self, state: str) -> list[Cell]:
        return [cell for cell in self.cells if cell.state == state]


def rooms_at(contest: Contest, version: int | None) -> list[RoomNow]:
    """Every room at this minute, worked out once while nothing but cards is read; `version` is of `besides_cards`."""
    return once_a_version(
        f"hall-{contest.pk}",
        f"{version} {timezone.now():%H:%M}",
        lambda: rooms_now(contest, rooms_of(contest), slots_of(contest)),
    )


def rooms_now(contest: Contest, rooms: Sequence[Room], slots: Sequence[Slot]) -> list[RoomNow]:
    of_room: defaultdict[int, list[Slot]] = defaultdict(list)
    for slot in slots:
        of_room[slot.room_id].append(slot)
    now = minute_now(contest)
    shown = []
    for room in rooms:
        expected = _expected(contest, of_room[room.pk], now)
        behind = _behind(contest, of_room[room.pk], expected)
        shown.append(RoomNow(room.name, cells_of(contest, of_room[room.pk], expected), behind))
    return shown


def _expected(contest: Contest, slots: Sequence[Slot], now: int | None) -> dict[int, int]:
    """When each set that is still to come will begin, by its key; nothing before a room's first, or on another day.

    With nobody inside, the next could begin now; while somebody speaks, when as long as a set takes has gone by. A
    break, or whatever else lies between two sets, makes up for what was lost.
    """
    if now is None or not any(slot.state in BEGUN for slot in slots):
        return {}
    free, expected = now, {}
    for slot in slots:
        if slot.state == Slot.State.SPEAKING and slot.began_at:
            free = max(free, minute_of(contest, slot.began_at) + _takes(contest, slot))
    for slot in slots:
        if slot.state == Slot.State.PLANNED:
            expected[slot.pk] = max(free, minute_of(contest, slot.starts_at))
            free = expected[slot.pk] + _takes(contest, slot)
    return expected


def _takes(contest: Contest, slot: Slot) -> int:
    return minute_of(contest, slot.ends_at) - minute_of(contest, slot.starts_at)


def _behind(contest: Contest, slots: Sequence[Slot], expected: Mapping[int, int]) -> int:
    """How many minutes later than planned whoever is next in a room will begin."""
    coming = next((slot for slot in slots if slot.pk in expected), None)
    return expected[coming.pk] - minute_of(contest, coming.starts_at) if coming else 0
