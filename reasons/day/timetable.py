"""From the contest to the planner and back: what is to be planned, around what has happened, and a draft to look at."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from contest.changes.exceptions import NotPossible
from contest.entries.accommodating import needs_of
from contest.models import Contest, JudgingClass
from contest.records.tallying import tallied
from reasons.day.elsewhere import Elsewhere, elsewhere
from reasons.day.hours import minute_now, minute_of
from reasons.models import ReasonsDay, Slot
from reasons.models import Room as RoomRow
from reasons.planning import (
    Bound,
    CannotPlan,
    Happened,
    Move,
    Plan,
    PlannedSet,
    Room,
    Speaker,
    Task,
    Timing,
    around,
    moves,
    on_deck,
    plan,
)
from reasons.planning.accommodating import in_quiet_rooms, lengthened
from reasons.planning.from_record import speakers_of

BEGUN = (Slot.State.SPEAKING, Slot.State.HEARD)
AT_THE_DOOR = 2
"""How many of a room are next and on deck: they stay where they are."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the superintendent says for one planning. Minutes are after midnight; rooms are known by their id.

    With `anew` everybody may move. `late` are contestants who come at some minute, also those who were called and
    found absent.
    """

    anew: bool = False
    opening: Mapping[int, int] = field(default_factory=dict)
    closing: Mapping[int, int] = field(default_factory=dict)
    late: Mapping[int, int] = field(default_factory=dict)

    def kept(self) -> dict[str, list[tuple[int, int]]]:
        """What of it goes on to hold, as JSON can keep it."""
        return {name: sorted(getattr(self, name).items()) for name in ("opening", "closing", "late")}


def wishes_in_force(contest: Contest, day: ReasonsDay) -> Wishes:
    """What was wished for the timetable in force: rooms keep their hours; whoever was late is so until their minute."""
    kept: dict[str, dict[int, int]] = {name: dict(pairs) for name, pairs in day.wishes.items()}
    now = minute_now(contest)
    late = {number: minute for number, minute in kept.get("late", {}).items() if now is None or minute > now}
    return Wishes(opening=kept.get("opening", {}), closing=kept.get("closing", {}), late=late)


@dataclass(frozen=True, slots=True)
class Base:
    """What a draft was made from: `rules` stands for the hours, the rooms and who owes what; `states` are the sets
    that had begun or were called in vain, (number, class) to state."""

    rules: str
    states: Mapping[tuple[int, int], str]


@dataclass(frozen=True, slots=True)
class Draft:
    """A timetable that is not in force yet."""

    sets: tuple[PlannedSet, ...]
    bound: Bound
    following: int
    proved: bool
    base: Base
    wishes: Wishes

    @property
    def ends(self) -> int:
        return max((planned.end for planned in self.sets), default=self.bound.ends)

    @property
    def over(self) -> int:
        """How many minutes later it ends than the lower bound."""
        return self.ends - self.bound.ends


@dataclass(frozen=True, slots=True)
class Planning:
    """What one planning starts from. `held` waits at the doors and stays; `in_force` are all that were planned. By
    number, who needs how much `longer`, in percent; who needs a room `apart`."""

    task: Task
    held: tuple[PlannedSet, ...]
    in_force: tuple[PlannedSet, ...]
    base: Base
    wishes: Wishes
    longer: Mapping[int, int] = field(default_factory=dict)
    apart: frozenset[int] = frozenset()
    quiet: frozenset[str] = frozenset()
    elsewhere: Elsewhere = field(default_factory=Elsewhere)

    @property
    def previous(self) -> Plan | None:
        """The timetable to keep to, if any."""
        return Plan(self.in_force, Bound(0, 0, "nobody")) if self.in_force and not self.wishes.anew else None

    def draft(self, made: Plan) -> Draft:
        """What was planned, with what people need. Raises CannotPlan where that takes longer than a room is open."""
        made = in_quiet_rooms(made, self.task.rooms, self.quiet, self.apart)
        made = lengthened(made, self.task.timing, self.task.rooms, self.longer, self.task.speakers)
        ends = max((planned.end for planned in self.held), default=0)
        bound = replace(made.bound, ends=max(made.bound.ends, ends))
        sets = tuple(sorted([*self.held, *made.sets]))
        return Draft(sets, bound, made.following, made.proved, self.base, self.wishes)


def first_draft(planning: Planning, seconds: float) -> Draft:
    """Plan what is left of the contest's reasons. Raises NotPossible, in words."""
    try:
        return planning.draft(plan(planning.task, budget_seconds=seconds, previous=planning.previous))
    except CannotPlan as problem:
        raise NotPossible(str(problem)) from None


def planning_of(contest: Contest, wishes: Wishes) -> Planning:
    """What is left to plan, around what has happened. Raises NotPossible where there is nobody or no room."""
    slots = slots_of(contest)
    day: ReasonsDay = contest.reasons_day
    speakers = speakers_of(tallied(contest).record)
    if not speakers:
        raise NotPossible(_("nobody who is present gives reasons"))
    rooms = rooms_of(contest)
    if not rooms:
        raise NotPossible(_("there is no room yet; add one"))
    timing = timing_of(day)
    taken = elsewhere(contest)
    speakers = tuple(replace(one, busy=taken.people.get(one.number, ())) for one in speakers)
    task = Task(speakers, tuple(_room(room, wishes, taken) for room in rooms), timing)
    task = _without_absent(task, wishes, slots)
    begun = [slot for slot in slots if slot.state in BEGUN]
    now = minute_now(contest)
    if now is None:
        now = max((_happened(contest, slot, day, 0).end for slot in begun), default=timing.first)
    now = max(now, timing.first)
    stays = [_happened(contest, slot, day, now) for slot in begun]
    closing = {str(room): minute for room, minute in wishes.closing.items()}
    called = _at_the_doors(contest, slots) if begun else []
    try:
        held = on_deck(task, stays, called, now, closing=closing, late=wishes.late)
        left = around(task, [*stays, *held], now, closing=closing, late=wishes.late)
    except CannotPlan as problem:
        raise NotPossible(str(problem)) from None
    quiet = frozenset(str(room.pk) for room in rooms if room.is_quiet)
    to_come = _to_come(contest, slots, wishes)
    base, needs = base_of(contest, taken), needs_of(contest)
    longer = {number: some.extra_time for number, some in needs.items() if some.extra_time}
    apart = frozenset(number for number, some in needs.items() if some.separate_room)
    return Planning(left, tuple(held), to_come, base, wishes, longer, apart, quiet, taken)


def base_of(contest: Contest, taken: Elsewhere | None = None) -> Base:
    day: ReasonsDay = contest.reasons_day
    speakers = speakers_of(tallied(contest).record)
    taken = taken or elsewhere(contest)
    rules = [
        [str(timing_of(day)), sorted((speaker.number, *speaker.classes) for speaker in speakers)],
        [[room.pk, room.is_quiet, sorted(judged.pk for judged in room.classes.all())] for room in rooms_of(contest)],
        sorted((number, needs.extra_time, needs.separate_room) for number, needs in needs_of(contest).items()),
        [sorted(times.items()) for times in (taken.people, taken.rooms)],
    ]
    states = Slot.objects.filter(room__contest=contest).exclude(state=Slot.State.PLANNED)
    return Base(
        hashlib.sha256(json.dumps(rules).encode()).hexdigest(),
        {
            (number, on): state
            for number, on, state in states.values_list("contestant__number", "judging_class__number", "state")
        },
    )


def timing_of(day: ReasonsDay) -> Timing:
    return Timing(
        day.starts_at.hour * 60 + day.starts_at.minute,
        day.minutes_per_set,
        day.minutes_between_sets,
        day.minutes_to_prepare,
        tuple((begin, end) for begin, end in day.breaks),
    )


def reasons_classes(contest: Contest) -> QuerySet[JudgingClass]:
    """The classes on which some division gives reasons; void ones are left out."""
    return contest.classes.filter(class_divisions__gives_reasons=True, void=False).distinct()


def rooms_of(contest: Contest) -> list[RoomRow]:
    return list(contest.rooms.prefetch_related("classes", "officials"))


def slots_of(contest: Contest) -> list[Slot]:
    """Every slot with its room, class and contestant, in the order of time."""
    slots = Slot.objects.filter(room__contest=contest).select_related("room", "judging_class", "contestant")
    return list(slots.order_by("starts_at", "room_id"))


def as_planned(contest: Contest, slot: Slot) -> PlannedSet:
    """A slot as the planner sees it: rooms go by their ids, which do not change when they are renamed."""
    return PlannedSet(
        minute_of(contest, slot.starts_at),
        str(slot.room_id),
        slot.contestant.number,
        slot.judging_class.number,
        minute_of(contest, slot.ends_at, up=True),
    )


def who_moves(contest: Contest, draft: Draft) -> list[Move]:
    """Who is somewhere else or at another time than in the timetable that is in force."""
    return moves(_to_come(contest, slots_of(contest), draft.wishes), draft.sets)


def _to_come(contest: Contest, slots: list[Slot], wishes: Wishes) -> tuple[PlannedSet, ...]:
    """What of the timetable in force is still to come; whoever was called in vain only if they are said to come."""
    return tuple(
        as_planned(contest, slot)
        for slot in slots
        if slot.state == Slot.State.PLANNED
        or (slot.state == Slot.State.ABSENT and slot.contestant.number in wishes.late)
    )


def _room(room: RoomRow, wishes: Wishes, taken: Elsewhere) -> Room:
    kept = frozenset(judged.number for judged in room.classes.all())
    busy = taken.rooms.get(room.pk, ())
    return Room(str(room.pk), kept or None, opens=wishes.opening.get(room.pk, 0), busy=busy)


def _without_absent(task: Task, wishes: Wishes, slots: list[Slot]) -> Task:
    """Whoever was called in vain is not planned again, unless they are said to come later."""
    absent = {
        (slot.contestant.number, slot.judging_class.number)
        for slot in slots
        if slot.state == Slot.State.ABSENT and slot.contestant.number not in wishes.late
    }

    def without(speaker: Speaker) -> Speaker:
        return replace(
            speaker, classes=tuple(number for number in speaker.classes if (speaker.number, number) not in absent)
        )

    return replace(task, speakers=tuple(map(without, task.speakers)))


def _at_the_doors(contest: Contest, slots: list[Slot]) -> list[PlannedSet]:
    """Who is next and on deck in each room, as the waiting hall shows it."""
    next_by_room: defaultdict[int, list[PlannedSet]] = defaultdict(list)
    for slot in slots:
        if slot.state == Slot.State.PLANNED and len(next_by_room[slot.room_id]) < AT_THE_DOOR:
            next_by_room[slot.room_id].append(as_planned(contest, slot))
    return [planned for of_room in next_by_room.values() for planned in of_room]


def _happened(contest: Contest, slot: Slot, day: ReasonsDay, now: int) -> Happened:
    """A set that has begun. One that is under way lasts as long as a set does, and no shorter than it has already."""
    began = minute_of(contest, slot.began_at or slot.starts_at)
    minutes = max(day.minutes_per_set, (slot.ends_at - slot.starts_at) // timedelta(minutes=1))
    end = minute_of(contest, slot.stopped_at, up=True) if slot.stopped_at else max(began + minutes, now)
    return Happened(began, str(slot.room_id), slot.contestant.number, slot.judging_class.number, max(end, began + 1))
