"""Planning again in the middle of the day: what has happened stays, and it is said who moved."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from reasons.planning.plan import Plan, PlannedSet
from reasons.planning.task import Room, Speaker, Task, check_breaks


class Happened(NamedTuple):
    """A set that stays as it is: heard, being heard, or about to be. Times are minutes after midnight."""

    start: int
    room: str
    number: int
    class_number: int
    end: int


def on_deck(
    task: Task,
    happened: Iterable[Happened | PlannedSet],
    called: Iterable[PlannedSet],
    now: int,
    *,
    closing: Mapping[str, int] | None = None,
    late: Mapping[int, int] | None = None,
) -> list[PlannedSet]:
    """Those of the `called` sets that can stay in their room and their turn: they wait at its door.

    Each keeps its time, or begins as soon as the room is free. What cannot stay is left out: its room closes, or its
    contestant is late, not rested, elsewhere, or gone.
    """
    timing = task.timing
    left = around(task, happened, now, closing=closing, late=late)
    ready = {(speaker.number, on): speaker.ready for speaker in left.speakers for on in speaker.classes}
    rooms = {room.name: room for room in left.rooms}
    busy = {speaker.number: speaker.busy for speaker in left.speakers}
    free = {room.name: room.opens for room in left.rooms}
    rested: dict[int, int] = {}
    staying = []
    for planned in sorted(called):
        room = rooms.get(planned.room)
        key = planned.number, planned.class_number
        if room is None or not room.hears(planned.class_number) or key not in ready:
            continue
        start = left.timing.start_from(max(planned.start, free[room.name]))
        end = start + timing.minutes
        if any(start < until and since < end for since, until in (*busy[planned.number], *room.busy)):
            continue
        if start >= max(ready[key], rested.get(planned.number, start)) and (room.closes is None or end <= room.closes):
            staying.append(planned._replace(start=start, end=end))
            free[room.name], rested[planned.number] = end, end + timing.gap
    return staying


def around(
    task: Task,
    happened: Iterable[Happened | PlannedSet],
    now: int,
    *,
    closing: Mapping[str, int] | None = None,
    late: Mapping[int, int] | None = None,
    gone: Collection[int] = (),
) -> Task:
    """What is left to plan at the minute `now`; sets go on beginning at the minutes at which they were to begin.

    `closing` gives rooms the minute at which they close; `late` gives contestants the minute before which they cannot
    speak; `gone` are contestants who will not speak any more. Raises CannotPlan where breaks cover the rest of the day.
    """
    closing, late = closing or {}, late or {}
    stays = sorted(happened)
    timing = task.timing
    teams = {speaker.number: speaker.team for speaker in task.speakers}
    heard = {(planned.number, planned.class_number) for planned in stays}
    rested: dict[int, int] = {}
    free: dict[str, Happened | PlannedSet] = {}
    for planned in stays:
        rested[planned.number] = max(rested.get(planned.number, 0), planned.end + timing.gap)
        free[planned.room] = planned

    def speaker_left(speaker: Speaker) -> Speaker:
        return replace(
            speaker,
            classes=tuple(number for number in speaker.classes if (speaker.number, number) not in heard),
            ready=max(speaker.ready, rested.get(speaker.number, 0), late.get(speaker.number, 0)),
        )

    def room_left(room: Room) -> Room:
        last = free.get(room.name)
        closes = [minute for minute in (room.closes, closing.get(room.name)) if minute is not None]
        return replace(
            room,
            opens=max(room.opens, now, last.end if last else 0),
            closes=min(closes, default=None),
            last_team=teams.get(last.number, "") if last else room.last_team,
        )

    left = Task(
        tuple(speaker_left(speaker) for speaker in task.speakers if speaker.number not in gone),
        tuple(room_left(room) for room in task.rooms),
        replace(timing, start=timing.start_from(now), prepare=0),
    )
    if left.sets:
        check_breaks(timing, max(now, timing.first))
    return left


@dataclass(frozen=True, slots=True)
class Move:
    """A set whose room or time is another than before; `before` None if it is new, `after` None if it is gone."""

    number: int
    class_number: int
    before: PlannedSet | None
    after: PlannedSet | None

    @property
    def minutes(self) -> int:
        """How much later it begins; negative if earlier."""
        return self.after.start - self.before.start if self.before and self.after else 0

    @property
    def changes_room(self) -> bool:
        return bool(self.before and self.after and self.before.room != self.after.room)


def moves(before: Plan | Iterable[PlannedSet], after: Plan | Iterable[PlannedSet]) -> list[Move]:
    """Who moved from one timetable to the other, by number and class."""
    old, new = _by_set(before), _by_set(after)
    moved = []
    for key in sorted(old.keys() | new.keys()):
        was, now = old.get(key), new.get(key)
        if was is None or now is None or (was.room, was.start) != (now.room, now.start):
            moved.append(Move(*key, was, now))
    return moved


def _by_set(plan: Plan | Iterable[PlannedSet]) -> dict[tuple[int, int], PlannedSet]:
    sets = plan.sets if isinstance(plan, Plan) else plan
    return {(planned.number, planned.class_number): planned for planned in sets}
