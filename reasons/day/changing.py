"""Every change to how a contest hears its reasons."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import time
from typing import Any

from contest.changes import changes, take_turn
from contest.models import Contest, Touches
from contest.models.outline import TEXT_LENGTH
from contest.reading import NotPossible
from contest.trail import record_change
from reasons.day.hours import moment
from reasons.day.timetable import Draft, what_happened
from reasons.models import ReasonsDay, ReasonsOfficial, Room, Slot
from reasons.planning.clock import clock_time


class Overtaken(NotPossible):
    """Raised where something happened that whoever asked could not know of."""


@changes
def set_day(contest: Contest, by: str, **fields: Any) -> ReasonsDay:
    """Say when reasons begin and how long things take; `fields` are those of ReasonsDay."""
    take_turn(contest.pk)
    breaks = fields.get("breaks", [])
    if any(end <= begin for begin, end in breaks):
        raise NotPossible("a break ends after it begins")
    day, _ = ReasonsDay.objects.update_or_create(contest=contest, defaults=fields)
    after = {name: value.strftime("%H:%M") if isinstance(value, time) else value for name, value in fields.items()}
    record_change(contest, by, "hours of the reasons set", after=after, touches=Touches.NOTHING)
    return day


@changes
def save_room(
    contest: Contest, room: Room | None, name: str, officials: Sequence[ReasonsOfficial], shows_key: bool, by: str
) -> Room:
    """Add a room, or change one. Raises NotPossible where the name is taken."""
    take_turn(contest.pk)
    name = " ".join(name.split())
    if not name or len(name) > TEXT_LENGTH:
        raise NotPossible("give the room a name or a number")
    others = contest.rooms.exclude(pk=room.pk if room else None)
    if any(other.name.casefold() == name.casefold() for other in others):
        raise NotPossible(f"there is a room {name} already")
    done = "changed" if room else "added"
    if room:
        Room.objects.filter(pk=room.pk).update(name=name, shows_key=shows_key)
        room.name, room.shows_key = name, shows_key
    else:
        room = Room.objects.create(contest=contest, name=name, shows_key=shows_key)
    room.officials.set(officials)
    after = {"officials": [official.name for official in officials], "shows key": shows_key}
    record_change(contest, by, f"reasons room {name}: {done}"[:200], after=after, touches=Touches.NOTHING)
    return room


@changes
def remove_room(room: Room, by: str) -> None:
    """Remove a room in which nobody has spoken; who was to speak there has to be planned again."""
    contest = room.contest
    take_turn(contest.pk)
    if room.slots.exclude(state=Slot.State.PLANNED).exists():
        raise NotPossible(f"somebody has been heard in room {room}; let it close instead")
    left = room.slots.all().delete()[0]
    name = room.name
    room.delete()
    record_change(contest, by, f"reasons room {name}: removed"[:200], before=left, touches=Touches.NOTHING)


@changes
def put_in_force(contest: Contest, draft: Draft, by: str) -> int:
    """Let a draft be the timetable; what has happened stays. Returns how many sets are planned.

    Raises Overtaken where somebody has begun to speak since the draft was made: then it has to be made anew.
    """
    take_turn(contest.pk)
    if draft.base != what_happened(contest):
        raise Overtaken("something has happened since this was planned: look at the timetable and plan again")
    rooms = {str(room.pk): room for room in contest.rooms.all()}
    classes = {judged.number: judged for judged in contest.classes.all()}
    people = {person.number: person for person in contest.contestants.all()}
    if any(one.class_number not in classes or one.number not in people for one in draft.sets):
        raise Overtaken("the entries or the classes have changed since this was planned: plan again")
    slots = Slot.objects.filter(room__contest=contest)
    before = slots.filter(state=Slot.State.PLANNED).count()
    slots.filter(state=Slot.State.PLANNED).delete()
    for one in draft.sets:
        if one.number in draft.wishes.late:
            slots.filter(
                state=Slot.State.ABSENT, contestant__number=one.number, judging_class__number=one.class_number
            ).delete()
    Slot.objects.bulk_create(
        Slot(
            room=rooms[one.room],
            judging_class=classes[one.class_number],
            contestant=people[one.number],
            starts_at=moment(contest, one.start),
            ends_at=moment(contest, one.end),
        )
        for one in draft.sets
    )
    what = f"timetable of the reasons: {len(draft.sets)} sets, to {clock_time(draft.ends)}"
    record_change(contest, by, what, before=before, after=len(draft.sets), touches=Touches.NOTHING)
    return len(draft.sets)
