"""What the pages of the reasons' day show."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from django.urls import reverse
from django.utils import timezone

from contest.models import Contest
from reasons.day.hours import minute_of
from reasons.models import ReasonsDay, ReasonsOfficial, ReasonsScore, Room, SetNote
from reasons.pages import shelf_of
from reasons.planning.clock import clock_time
from scoring.points import printed
from scoring.record import HUNDREDTHS


def room_page(contest: Contest, room: Room, official: ReasonsOfficial, request) -> dict[str, Any]:
    """What a room's device starts from: numbers only, and nothing that any other official gave."""
    day: ReasonsDay = contest.reasons_day
    args = [contest.pk, room.pk, official.pk]
    return {
        "desk": room_shelf(contest, request),
        "who": request.who,
        "room": room.pk,
        "official": official.pk,
        "minutes": day.minutes_per_set,
        "components": day.components,
        "now": int(timezone.now().timestamp() * 1000),
        "sets": room_sets(contest, room, official),
        "addresses": {
            "events": reverse("reasons-room-events", args=args),
            "sets": reverse("reasons-room-sets", args=args),
            "hello": reverse("reasons-hello", args=[contest.pk]),
            "takeBack": "",
            "readings": "",
        },
    }


def room_shelf(contest: Contest, request) -> str:
    """What a room's device keeps unsent events under: not where readings of scores are kept."""
    return f"{shelf_of(contest, request)} room"


def room_sets(contest: Contest, room: Room, official: ReasonsOfficial) -> list[dict[str, Any]]:
    """The sets of a room in the order of time, each with what this official gave and wrote."""
    scores = {
        (class_id, contestant_id): points
        for class_id, contestant_id, points in ReasonsScore.objects.filter(official=official).values_list(
            "judging_class_id", "contestant_id", "hundredths"
        )
    }
    notes = {(note.judging_class_id, note.contestant_id): note for note in SetNote.objects.filter(official=official)}
    found = []
    for slot in room.slots.select_related("judging_class", "contestant").order_by("starts_at", "pk"):
        key = slot.judging_class_id, slot.contestant_id
        points, own = scores.get(key), notes.get(key)
        found.append(
            {
                "number": slot.contestant.number,
                "classNumber": slot.judging_class.number,
                "className": slot.judging_class.name,
                "starts": clock_time(minute_of(contest, slot.starts_at)),
                "state": slot.state,
                "began": _milliseconds(slot.began_at),
                "stopped": _milliseconds(slot.stopped_at),
                "points": None if points is None else printed(Fraction(points, HUNDREDTHS)),
                "note": own.note if own else "",
                "marks": own.marks if own else {},
            }
        )
    return found


def _milliseconds(when) -> int | None:
    return when and int(when.timestamp() * 1000)
