"""Reasons that are being heard: a timetable in force, one room on time and one behind, and what the officials note."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, time, timedelta
from uuid import uuid4

from contest.book.pair_notes import Note
from contest.helpers.joining import let_in
from contest.models import Contest, Duty, Helper, ReasonsOfficial
from contest.pair_notes import fingerprint
from contest.records.tallying import tallied
from contest.slips.reading import read
from contest.slips.reasons import ReasonsSlip
from reasons.day import room_events
from reasons.day.changing import put_in_force, save_room, set_day
from reasons.day.class_notes import write_notes
from reasons.day.timetable import Draft, Wishes, base_of, rooms_of, timing_of
from reasons.models import ReasonsDay, Room, Slot
from reasons.planning import Room as PlannedRoom
from reasons.planning import Task, plan
from reasons.planning.from_record import speakers_of
from reasons.scores.officials import add_official
from scoring.core.record import HUNDREDTHS
from scoring.demo import BOSS

ROOMS = {"1": ("Ms. Quoyle", "Mr. Alderby"), "2": ("Mrs. Tarnwick",)}
"""The rooms with their officials: the first has two, who can be compared."""

GENEROUS = {"Ms. Quoyle": 1, "Mr. Alderby": -1, "Mrs. Tarnwick": 0}
BEHIND = {"1": timedelta(), "2": timedelta(minutes=8)}

NOTES = (
    Note("Depth of body", "4 is cleaner about the throat", "2 stands a little close behind"),
    Note("Muscle through the loin", "", "4 is light in her second thigh"),
    Note("Frame", "3 walks as freely as any in the class", "1 is the plainest of the four"),
)


def hear_reasons(contest: Contest, begins: datetime, until: datetime, clerk: Helper) -> None:
    """Plan the reasons from `begins`, and hear them until a moment that may be the present one."""
    hours = {"starts_at": time(begins.hour, begins.minute), "minutes_per_set": 3, "minutes_to_prepare": 10}
    set_day(contest, BOSS, **hours, minutes_between_sets=6, breaks=[], components=[])
    officials = {name: add_official(contest, name, BOSS) for names in ROOMS.values() for name in names}
    rooms = {
        name: save_room(contest, None, name, [officials[official] for official in names], name == "1", BOSS)
        for name, names in ROOMS.items()
    }
    _put_in_force(contest)
    tablets = {name: let_in(contest, Duty.ROOM, name, official) for name, official in officials.items()}
    for name, room in rooms.items():
        _hear(room, BEHIND[name], until, [officials[official] for official in ROOMS[name]], tablets)
    _type_a_slip(contest, clerk)
    write_notes(contest.classes.get(number=1), NOTES, "Mr. Alderby", fingerprint([Note()] * 3))


def _put_in_force(contest: Contest) -> None:
    day = ReasonsDay.objects.get(contest=contest)
    rooms = tuple(PlannedRoom(str(room.pk)) for room in rooms_of(contest))
    made = plan(Task(speakers_of(tallied(contest).record), rooms, timing_of(day)), budget_seconds=0.3)
    draft = Draft(made.sets, made.bound, made.following, made.proved, base_of(contest), Wishes())
    put_in_force(contest, draft, BOSS)


def _hear(
    room: Room,
    behind: timedelta,
    until: datetime,
    officials: Sequence[ReasonsOfficial],
    tablets: Mapping[str, Helper],
) -> None:
    """Every set at its time, or as far behind it as the room is. The last is still spoken; where the room is behind,
    the one before was called in vain."""
    by = officials[0].name
    begun = [slot for slot in _in_order(room) if slot.starts_at + behind <= until]
    if not begun:
        return
    *before, speaking = begun
    if behind and before:
        room_events.mark_no_show(before.pop(), by)
    for place, slot in enumerate(before):
        room_events.begin(slot, room, slot.starts_at + behind, by)
        room_events.stop(slot, slot.ends_at + behind - timedelta(seconds=10 + 13 * (place % 4)), by)
        for official in officials:
            points = (38 + GENEROUS[official.name] + 5 * slot.contestant.number % 9) * HUNDREDTHS
            points += HUNDREDTHS // 2 * (place % 2)
            room_events.give_score(slot, official, points, official.name, uuid4(), tablets[official.name])
    room_events.begin(speaking, room, speaking.starts_at + behind, by)


def _in_order(room: Room) -> Iterable[Slot]:
    slots = room.slots.select_related("room__contest", "judging_class__contest", "contestant")
    return slots.order_by("starts_at", "pk")


def _type_a_slip(contest: Contest, clerk: Helper) -> None:
    """A paper slip that does not say what the official entered."""
    room = contest.rooms.get(name="1")
    first = next(iter(_in_order(room)))
    official = room.officials.get(name="Ms. Quoyle")
    slip = ReasonsSlip(first.judging_class, official, first.contestant)
    read(slip, 34 * HUNDREDTHS, clerk.name, uuid4(), clerk)
