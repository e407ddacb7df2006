"""A finished timetable made to suit those who need more time, or a quiet room. Nobody speaks earlier for it.

The planner deals with sets that take as long as each other. Where some take longer, the order in every room and of
everybody's sets stays, and what comes after is put off as far as it must.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from reasons.planning.clock import clock_time
from reasons.planning.plan import Plan, PlannedSet
from reasons.planning.task import CannotPlan, Room, Speaker, Timing
from scoring.core.texts import gettext as _

HUNDRED = 100


def lengthened(
    made: Plan, timing: Timing, rooms: Sequence[Room], extra: Mapping[int, int], speakers: Sequence[Speaker] = ()
) -> Plan:
    """The timetable with the sets of some contestants so many of 100 longer, rounded up to the minute.

    Whoever follows in the room begins when it is free, and everybody has the time between their own sets; breaks stay,
    and so do the times in which somebody is elsewhere.
    Raises CannotPlan where a room would then have to stay open longer than it does.
    """
    if not any(planned.number in extra for planned in made.sets):
        return made
    closes = {room.name: room.closes for room in rooms if room.closes is not None}
    busy = {one.number: one.busy for one in speakers}
    away = {room.name: room.busy for room in rooms}
    room_free: defaultdict[str, int] = defaultdict(int)
    rested: defaultdict[int, int] = defaultdict(int)
    sets = []
    for planned in sorted(made.sets):
        minutes = minutes_with(planned.end - planned.start, extra.get(planned.number, 0))
        start = max(planned.start, room_free[planned.room], rested[planned.number])
        times = [*timing.breaks, *busy.get(planned.number, ()), *away.get(planned.room, ())]
        start = _between(start, minutes, times)
        end = start + minutes
        if end > closes.get(planned.room, end):
            text = _("with the extra time a set would end at {time}, and its room closes before that")
            raise CannotPlan(text.format(time=clock_time(end)))
        room_free[planned.room], rested[planned.number] = end, end + timing.gap
        sets.append(planned._replace(start=start, end=end))
    return replace(made, sets=tuple(sorted(sets)))


def minutes_with(minutes: int, extra: int) -> int:
    """The minutes of a set that is so many of 100 longer, rounded up."""
    return minutes - (-minutes * extra // HUNDRED)


def in_quiet_rooms(made: Plan, rooms: Sequence[Room], quiet: Collection[str], who: Collection[int]) -> Plan:
    """The timetable with those who need it in a quiet room, wherever one hears their class at that time: whoever was to
    speak there goes into the other room. Nobody's time changes."""
    if not any(planned.number in who for planned in made.sets):
        return made
    of_name = {room.name: room for room in rooms}
    begins: defaultdict[int, dict[str, PlannedSet]] = defaultdict(dict)
    for planned in made.sets:
        begins[planned.start][planned.room] = planned
    for at_once in begins.values():
        for planned in list(at_once.values()):
            if planned.number in who and planned.room not in quiet:
                _exchange(planned, at_once, of_name, quiet, who)
    return replace(made, sets=tuple(sorted(planned for at_once in begins.values() for planned in at_once.values())))


def _exchange(
    planned: PlannedSet,
    at_once: dict[str, PlannedSet],
    rooms: Mapping[str, Room],
    quiet: Collection[str],
    who: Collection[int],
) -> None:
    for name in sorted(quiet):
        there = at_once.get(name)
        room = rooms.get(name)
        if room is None or not _takes(room, planned) or (there and there.number in who):
            continue
        if there and not _takes(rooms[planned.room], there):
            continue
        del at_once[planned.room]
        if there:
            at_once[planned.room] = there._replace(room=planned.room)
        at_once[name] = planned._replace(room=name)
        return


def _takes(room: Room, planned: PlannedSet) -> bool:
    is_open = room.opens <= planned.start and (room.closes is None or planned.end <= room.closes)
    is_there = not any(planned.start < end and begin < planned.end for begin, end in room.busy)
    return is_open and is_there and room.hears(planned.class_number)


def _between(start: int, minutes: int, times: Iterable[tuple[int, int]]) -> int:
    """The first minute from `start` on at which so many minutes are free of these times."""
    for begin, end in sorted(times):
        if start < end and begin < start + minutes:
            start = end
    return start
