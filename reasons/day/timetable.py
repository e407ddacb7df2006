"""From the contest to the planner and back: what is to be planned, around what has happened, and a draft to look at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from django.core import signing

from contest.models import Contest
from contest.reading import NotPossible
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
    keep_classes,
    moves,
    plan,
)
from reasons.planning.from_record import speakers_of
from scoring.standings import tallied

SALT = "reasons timetable"
BEGUN = (Slot.State.SPEAKING, Slot.State.HEARD)


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the superintendent says for one planning. Minutes are after midnight; rooms are known by their id.

    `late` are contestants who come at some minute, also those who were called and found absent.
    """

    keep: bool = False
    opening: Mapping[int, int] = field(default_factory=dict)
    closing: Mapping[int, int] = field(default_factory=dict)
    late: Mapping[int, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Draft:
    """A timetable that is not in force yet. `base` is what had happened when it was made."""

    sets: tuple[PlannedSet, ...]
    base: list[list[Any]]
    ends: int
    over: int
    following: int
    proved: bool
    because: str
    bound_ends: int
    wishes: Wishes

    def sealed(self) -> str:
        """Text that only we can have made: the page carries it until it is put in force or thrown away."""
        wishes = [self.wishes.keep, *(sorted(of.items()) for of in _parts(self.wishes))]
        value = [
            [list(one) for one in self.sets], self.base, self.ends, self.over, self.following, self.proved,
            self.because, self.bound_ends, wishes,
        ]  # fmt: skip
        return signing.dumps(value, salt=SALT, compress=True)


def _parts(wishes: Wishes) -> list[Mapping[int, int]]:
    return [wishes.opening, wishes.closing, wishes.late]


def opened(sealed: str) -> Draft:
    """The draft that a page carried. Raises NotPossible for what is none of ours."""
    try:
        sets, base, *figures, (keep, *parts) = signing.loads(sealed, salt=SALT)
    except (signing.BadSignature, ValueError):
        raise NotPossible("this draft cannot be read any more; plan again") from None
    return Draft(tuple(PlannedSet(*one) for one in sets), base, *figures, Wishes(keep, *(dict(part) for part in parts)))


def what_happened(contest: Contest) -> list[list[Any]]:
    """What a draft must not be older than: the sets that have begun or were called in vain, and the rooms."""
    slots = Slot.objects.filter(room__contest=contest).exclude(state=Slot.State.PLANNED)
    return [
        [list(row) for row in slots.order_by("pk").values_list("pk", "state")],
        [list(row) for row in contest.rooms.values_list("pk", "name")],
    ]


def make_draft(contest: Contest, wishes: Wishes, seconds: float = 3, seed: int = 0) -> Draft:
    """Plan what is left of the contest's reasons. Raises NotPossible, in words."""
    slots = slots_of(contest)
    base = what_happened(contest)
    task = task_of(contest, wishes, slots)
    before = Plan(tuple(as_planned(contest, slot) for slot in slots), Bound(0, 0, ""))
    try:
        made = plan(task, seed=seed, budget_seconds=seconds, previous=before if slots and not seed else None)
    except CannotPlan as problem:
        raise NotPossible(str(problem)) from None
    return Draft(
        sets=made.sets,
        base=base,
        ends=made.ends,
        over=made.over,
        following=made.following,
        proved=made.proved,
        because=made.bound.because,
        bound_ends=made.bound.ends,
        wishes=wishes,
    )


def slots_of(contest: Contest) -> list[Slot]:
    """Every slot with its room, class and contestant, in the order of time."""
    slots = Slot.objects.filter(room__contest=contest).select_related("room", "judging_class", "contestant")
    return list(slots.order_by("starts_at", "room_id"))


def as_planned(contest: Contest, slot: Slot) -> PlannedSet:
    return PlannedSet(
        minute_of(contest, slot.starts_at),
        str(slot.room_id),
        slot.contestant.number,
        slot.judging_class.number,
        minute_of(contest, slot.ends_at, up=True),
    )


def task_of(contest: Contest, wishes: Wishes, slots: list[Slot]) -> Task:
    """What is left to plan. Rooms go by their ids, which do not change when they are renamed."""
    day: ReasonsDay = contest.reasons_day
    speakers = speakers_of(tallied(contest).record)
    if not speakers:
        raise NotPossible("nobody who is present gives reasons")
    rooms = list(contest.rooms.all())
    if not rooms:
        raise NotPossible("there is no room yet; add one")
    timing = Timing(
        day.starts_at.hour * 60 + day.starts_at.minute,
        day.minutes_per_set,
        day.minutes_between_sets,
        day.minutes_to_prepare,
        tuple((begin, end) for begin, end in day.breaks),
    )
    task = Task(speakers, tuple(_rooms(rooms, wishes, speakers, slots)), timing)
    begun = [slot for slot in slots if slot.state in BEGUN]
    now = minute_now(contest)
    if now is None:
        now = max((_happened(contest, slot, day, 0).end for slot in begun), default=timing.start + timing.prepare)
    now = max(now, timing.start + timing.prepare)
    stays = [_happened(contest, slot, day, now) for slot in begun]
    return around(_without_absent(task, wishes, slots), stays, now, closing=_named(wishes.closing), late=wishes.late)


def _without_absent(task: Task, wishes: Wishes, slots: list[Slot]) -> Task:
    """Whoever was called in vain is not planned again, unless they are said to come later."""
    absent = {
        (slot.contestant.number, slot.judging_class.number)
        for slot in slots
        if slot.state == Slot.State.ABSENT and slot.contestant.number not in wishes.late
    }
    speakers = tuple(
        replace(one, classes=tuple(number for number in one.classes if (one.number, number) not in absent))
        for one in task.speakers
    )
    return replace(task, speakers=speakers)


def _named(of_rooms: Mapping[int, int]) -> dict[str, int]:
    return {str(room): minute for room, minute in of_rooms.items()}


def _happened(contest: Contest, slot: Slot, day: ReasonsDay, now: int) -> Happened:
    """A set that has begun. One that is under way lasts as long as a set does, and no shorter than it has already."""
    began = minute_of(contest, slot.began_at or slot.starts_at)
    end = minute_of(contest, slot.stopped_at, up=True) if slot.stopped_at else max(began + day.minutes_per_set, now)
    return Happened(began, str(slot.room_id), slot.contestant.number, slot.judging_class.number, max(end, began + 1))


def _rooms(rooms: list[RoomRow], wishes: Wishes, speakers: tuple[Speaker, ...], slots: list[Slot]):
    """A room that keeps its classes goes on with those that it was given at first."""
    kept: list[frozenset[int] | None] = [None] * len(rooms)
    if wishes.keep:
        had = {room.pk: frozenset(s.judging_class.number for s in slots if s.room_id == room.pk) for room in rooms}
        loads = Counter(number for speaker in speakers for number in speaker.classes)
        covered = frozenset[int]().union(*had.values())
        kept = [had[room.pk] for room in rooms] if covered >= loads.keys() else list(keep_classes(loads, len(rooms)))
    for room, classes in zip(rooms, kept, strict=True):
        yield Room(str(room.pk), classes, opens=wishes.opening.get(room.pk, 0))


def who_moves(contest: Contest, draft: Draft) -> list[Move]:
    """Who is somewhere else or at another time than in the timetable that is in force."""
    in_force = [as_planned(contest, slot) for slot in slots_of(contest) if slot.state not in BEGUN]
    return moves(in_force, draft.sets)
