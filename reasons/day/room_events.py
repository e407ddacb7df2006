"""What happens in a room: somebody begins, stops, is absent or is heard again, and each official writes down their own.

A room's device may be cut off for a while and tell all of it later. So everything carries the time at which it
happened, and what has been told already is no error when it is told again.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Helper, ReasonsOfficial, Touches
from contest.slips.reading import Outcome
from contest.slips.reasons import ReasonsSlip
from contest.slips.tablets import give, take_back_given
from contest.trail import record_change, sentence
from reasons.day.timetable import BEGUN
from reasons.models import Room, SetNote, Slot


@changes
def begin(slot: Slot, room: Room, at: datetime, by: str) -> None:
    """A contestant begins to speak in a room, perhaps once more, and even if they were planned for another meanwhile.

    Whoever still spoke in the room has ended by then. A beginning that is told after the end that followed it, by a
    second official's device that was cut off, changes nothing.
    """
    slot = _locked(slot)
    at = min(at, timezone.now())
    if slot.state == Slot.State.SPEAKING and slot.room_id == room.pk:
        return
    if slot.state == Slot.State.HEARD and slot.stopped_at and at < slot.stopped_at:
        return
    speaking = Slot.objects.filter(room=room, state=Slot.State.SPEAKING).exclude(pk=slot.pk)
    for other in speaking.select_related("room__contest", "judging_class", "contestant"):
        _write(other, by, "set_ended", state=Slot.State.HEARD, stopped_at=max(at, other.began_at or at))
    _write(slot, by, "set_began", room=room, state=Slot.State.SPEAKING, began_at=at, stopped_at=None)


@changes
def stop(slot: Slot, at: datetime, by: str) -> None:
    """The set is over."""
    slot = _locked(slot)
    if slot.state != Slot.State.SPEAKING:
        return
    at = max(min(at, timezone.now()), slot.began_at or at)
    _write(slot, by, "set_ended", state=Slot.State.HEARD, stopped_at=at)


@changes
def mark_no_show(slot: Slot, by: str) -> None:
    """The contestant was called and is not there."""
    slot = _locked(slot)
    if slot.state == Slot.State.ABSENT:
        return
    if slot.state != Slot.State.PLANNED:
        text = _("{number} has spoken on class {judged}")
        raise NotPossible(text.format(number=slot.contestant.number, judged=slot.judging_class.number))
    _write(slot, by, "set_absent", state=Slot.State.ABSENT)


@changes
def call_back(slot: Slot, by: str) -> None:
    """The contestant is there after all, or is to speak as if they had not yet."""
    slot = _locked(slot)
    if slot.state != Slot.State.PLANNED:
        _write(slot, by, "set_again", state=Slot.State.PLANNED, began_at=None, stopped_at=None)


@changes
def give_score(
    slot: Slot, official: ReasonsOfficial, points: int, by: str, submission: UUID, helper: Helper | None
) -> Outcome:
    """The official's score for somebody who has begun, in hundredths. Raises NotPossible for one who has not."""
    slot = _locked(slot)
    if slot.state not in BEGUN:
        number, of_class = slot.contestant.number, slot.judging_class.number
        text = _("{number} has not begun on class {judged}: press Begin, then give the score")
        raise NotPossible(text.format(number=number, judged=of_class))
    return give(ReasonsSlip(slot.judging_class, official, slot.contestant), points, by, submission, helper)


@changes
def clear_score(slot: Slot, official: ReasonsOfficial, by: str) -> None:
    """Take back what the official gave on this device, as if no score had been given yet."""
    slot = _locked(slot)
    take_back_given(ReasonsSlip(slot.judging_class, official, slot.contestant), by)


@changes
def write_down(slot: Slot, official: ReasonsOfficial, note: str, marks: dict[str, float], by: str) -> None:
    """Keep an official's own note and component marks, for `by` to see again. The trail says only that there is one.

    The marks are as the contest named them when they were written, perhaps without a network and long ago: they are
    kept whatever it names now.
    """
    slot = _locked(slot)
    about: dict[str, Any] = {
        "judging_class": slot.judging_class,
        "contestant": slot.contestant,
        "official": official,
        "by": by,
    }
    SetNote.objects.update_or_create(**about, defaults={"note": note, "marks": marks})
    _tell(slot, by, "set_noted")


def _locked(slot: Slot) -> Slot:
    take_turn(slot.room.contest_id)
    return Slot.objects.select_related("room__contest", "judging_class__contest", "contestant__contest").get(pk=slot.pk)


def _write(slot: Slot, by: str, code: str, **fields: Any) -> None:
    Slot.objects.filter(pk=slot.pk).update(**fields)
    _tell(slot, by, code)


def _tell(slot: Slot, by: str, code: str) -> None:
    number, judged, room = slot.contestant.number, slot.judging_class.number, slot.room.name
    said = sentence(code, contestant=number, judged=judged, room=room)
    record_change(slot.room.contest, by, said, before=slot.state, touches=Touches.NOTHING)
