"""Every change to how a contest hears its reasons."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import time
from itertools import product
from typing import Any

from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, JudgingClass, ReasonsOfficial, Touches
from contest.models.outline import TEXT_LENGTH
from contest.records.tallying import tallied
from contest.trail import record_change, sentence
from reasons.day.hours import moment
from reasons.day.timetable import BEGUN, Draft, base_of, slots_of, who_moves
from reasons.models import ReasonsDay, Room, Slot
from reasons.planning import Move, PlannedSet, keep_classes
from reasons.planning.clock import clock_time
from reasons.planning.from_record import speakers_of


class Overtaken(NotPossible):
    """Raised where something happened that whoever asked could not know of."""


@changes
def set_day(contest: Contest, by: str, **fields: Any) -> ReasonsDay:
    """Say when reasons begin and how long things take; `fields` are those of ReasonsDay."""
    take_turn(contest.pk)
    breaks = fields.get("breaks", [])
    if any(end <= begin for begin, end in breaks):
        raise NotPossible(_("a break ends after it begins"))
    day, _made = ReasonsDay.objects.update_or_create(contest=contest, defaults=fields)
    after = {name: value.strftime("%H:%M") if isinstance(value, time) else value for name, value in fields.items()}
    record_change(contest, by, sentence("reasons_hours_set"), after=after, touches=Touches.NOTHING)
    return day


@changes
def save_room(
    contest: Contest,
    room: Room | None,
    name: str,
    officials: Sequence[ReasonsOfficial],
    shows_key: bool,
    by: str,
    classes: Sequence[JudgingClass] = (),
    is_quiet: bool = False,
) -> Room:
    """Add a room, or change one. Raises NotPossible where the name is taken or an official hears elsewhere."""
    take_turn(contest.pk)
    name = " ".join(name.split())
    if not name or len(name) > TEXT_LENGTH:
        raise NotPossible(_("give the room a name or a number"))
    others = [other for other in contest.rooms.prefetch_related("officials") if other != room]
    if any(other.name.casefold() == name.casefold() for other in others):
        raise NotPossible(_("there is a room {name} already").format(name=name))
    for other, official in product(others, officials):
        if official in other.officials.all():
            text = _("{official} hears in room {room} already, and cannot be in two places")
            raise NotPossible(text.format(official=official, room=other))
    done = "reasons_room_changed" if room else "reasons_room_added"
    if room:
        Room.objects.filter(pk=room.pk).update(name=name, shows_key=shows_key, is_quiet=is_quiet)
        room.name, room.shows_key, room.is_quiet = name, shows_key, is_quiet
    else:
        room = Room.objects.create(contest=contest, name=name, shows_key=shows_key, is_quiet=is_quiet)
    room.officials.set(officials)
    room.classes.set(classes)
    after = {
        "officials": [official.name for official in officials],
        "classes": [judged.number for judged in classes],
        "shows key": shows_key,
        "quiet": is_quiet,
    }
    record_change(contest, by, sentence(done, room=name), after=after, touches=Touches.NOTHING)
    return room


@changes
def deal_classes(contest: Contest, by: str) -> None:
    """Let every room keep to its own class or classes, dealt out so that the fullest room hears least.

    Raises NotPossible where nobody gives reasons.
    """
    take_turn(contest.pk)
    loads = Counter(number for speaker in speakers_of(tallied(contest).record) for number in speaker.classes)
    if not loads:
        raise NotPossible(_("nobody who is present gives reasons"))
    classes = {judged.number: judged for judged in contest.classes.all()}
    rooms = list(contest.rooms.all())
    kept = keep_classes(loads, len(rooms))
    for room, numbers in zip(rooms, kept, strict=True):
        room.classes.set(classes[number] for number in numbers)
    after = {room.name: sorted(numbers) for room, numbers in zip(rooms, kept, strict=True)}
    record_change(contest, by, sentence("reasons_classes_dealt"), after=after, touches=Touches.NOTHING)


@changes
def hear_everything(contest: Contest, by: str) -> None:
    """Let every room hear every class."""
    take_turn(contest.pk)
    for room in contest.rooms.all():
        room.classes.clear()
    record_change(contest, by, sentence("reasons_rooms_hear_all"), touches=Touches.NOTHING)


@changes
def remove_room(room: Room, by: str) -> None:
    """Remove a room in which nobody has spoken; who was to speak there has to be planned again."""
    contest = room.contest
    take_turn(contest.pk)
    if room.slots.exclude(state=Slot.State.PLANNED).exists():
        raise NotPossible(_("somebody has been heard in room {room}; let it close instead").format(room=room))
    left = room.slots.all().delete()[0]
    name = room.name
    room.delete()
    record_change(contest, by, sentence("reasons_room_removed", room=name), before=left, touches=Touches.NOTHING)


@changes
def put_in_force(contest: Contest, draft: Draft, by: str) -> int:
    """Let a draft be the timetable; what has happened stays. Returns how many sets are planned.

    Whoever has begun since in the room that the draft has them in, or was called in vain, stays so. Raises Overtaken
    where anything else has changed that the draft was made from: then it has to be made anew.
    """
    take_turn(contest.pk)
    sets = _still_to_plan(contest, draft)
    rooms = {str(room.pk): room for room in contest.rooms.all()}
    classes = {judged.number: judged for judged in contest.classes.all()}
    people = {person.number: person for person in contest.contestants.all()}
    moved = [_moved(move, rooms) for move in who_moves(contest, draft)]
    slots = Slot.objects.filter(room__contest=contest)
    before = slots.filter(state=Slot.State.PLANNED).count()
    slots.filter(state=Slot.State.PLANNED).delete()
    planned = {(planned_set.number, planned_set.class_number) for planned_set in sets}
    late = slots.filter(state=Slot.State.ABSENT, contestant__number__in=draft.wishes.late)
    for slot in late.select_related("contestant", "judging_class"):
        if (slot.contestant.number, slot.judging_class.number) in planned:
            slot.delete()
    Slot.objects.bulk_create(
        Slot(
            room=rooms[planned_set.room],
            judging_class=classes[planned_set.class_number],
            contestant=people[planned_set.number],
            starts_at=moment(contest, planned_set.start),
            ends_at=moment(contest, planned_set.end),
        )
        for planned_set in sets
    )
    ReasonsDay.objects.filter(contest=contest).update(wishes=draft.wishes.kept())
    said = sentence("reasons_timetable", count=len(sets), end=clock_time(draft.ends))
    after = {"sets": len(sets), "moved": moved} if before else len(sets)
    record_change(contest, by, said, before=before, after=after, touches=Touches.NOTHING)
    return len(sets)


def _still_to_plan(contest: Contest, draft: Draft) -> list[PlannedSet]:
    """The draft's sets but those that have begun since; raises Overtaken where the draft does not hold any more."""
    now = base_of(contest)
    if now.rules != draft.base.rules:
        raise Overtaken(_("the hours, the rooms or the entries have changed since this was planned: plan again"))
    if any(key not in now.states for key in draft.base.states):
        raise Overtaken(_("somebody is to be heard again who was not when this was planned: plan again"))
    begun = {
        (slot.contestant.number, slot.judging_class.number): str(slot.room_id)
        for slot in slots_of(contest)
        if slot.state in BEGUN
    }
    left = []
    for planned in draft.sets:
        key = planned.number, planned.class_number
        if begun.get(key, planned.room) != planned.room:
            text = _("{number} has begun in another room since this was planned: plan again")
            raise Overtaken(text.format(number=planned.number))
        was_absent = key in draft.base.states
        if key not in begun and (key not in now.states or was_absent):
            left.append(planned)
    return left


def _moved(move: Move, rooms: Mapping[str, Room]) -> dict[str, Any]:
    """Who moves, with the time and the room before and after; what was not there before, or is no more, has neither."""

    def place(planned: PlannedSet | None) -> str | None:
        return f"{clock_time(planned.start)}, {rooms.get(planned.room, '-')}" if planned else None

    return {
        "number": move.number,
        "class": move.class_number,
        "fields": {"place": [place(move.before), place(move.after)]},
    }
