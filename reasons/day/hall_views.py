"""The waiting hall and the whole timetable, for whoever waits: numbers only, so that no sign-in is needed."""

from __future__ import annotations

import hashlib

from django.core.cache import cache
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from contest.access import contest_for, open_to_all
from contest.models import Contest
from contest.watch.revisions import is_poll, nothing_new, once_a_version, revision_of
from reasons.day import showing
from reasons.day.forms import FindForm
from reasons.day.hall import RoomNow, rooms_now
from reasons.day.timetable import rooms_of, slots_of

FORGET_AFTER = 60
"""Seconds for which the rooms are kept for phones that ask for them."""

WAYS = {"number": "By number", "room": "By room", "time": "By time"}


@open_to_all
@never_cache
@require_safe
def hall(request, pk):
    """Who goes where now and next, for a screen in the hall."""
    if same := nothing_new(request, _hall_version(request, pk)):
        return same
    contest = contest_for(request, pk)
    rooms = cache.get(_hall(pk)) or _rooms_now(contest)
    find = FindForm(request.GET)
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "version": _version_of(rooms),
        "rooms": rooms,
        "absent": [cell for room in rooms for cell in room.absent],
        "find": find,
        "number": find.wanted,
        "found": sorted(cell for room in rooms for cell in room.cells if cell.number == find.wanted),
    }
    return render(request, f"reasons/day/{'_hall' if is_poll(request) else 'hall'}.html", context)


def _hall_version(request, pk: int) -> str:
    """Changes when the hall does, and not when a card is read somewhere. Worked out once a revision and minute."""

    def work_out() -> str:
        rooms = _rooms_now(contest_for(request, pk))
        cache.set(_hall(pk), rooms, FORGET_AFTER)
        return _version_of(rooms)

    return once_a_version(f"hall-version-{pk}", f"{revision_of(pk)} {timezone.now():%H:%M}", work_out)


def _hall(pk: int) -> str:
    return f"hall-{pk}"


def _rooms_now(contest: Contest) -> list[RoomNow]:
    return rooms_now(contest, rooms_of(contest), slots_of(contest))


def _version_of(rooms: list[RoomNow]) -> str:
    return hashlib.sha256(repr(rooms).encode()).hexdigest()[:16]


@open_to_all
@never_cache
@require_safe
def timetable(request, pk):
    """All of it, to look somebody up in or to print and pin to the wall."""
    contest = contest_for(request, pk)
    rooms, cells = rooms_of(contest), showing.cells_of(contest, slots_of(contest))
    way = request.GET.get("by", "")
    way = way if way in WAYS else "number"
    find = FindForm(request.GET)
    people = showing.by_number(cells)
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "rooms": rooms,
        "sets": len(cells),
        "way": way,
        "ways": WAYS.items(),
        "find": find,
        "number": find.wanted,
        "found": dict(people).get(find.wanted),
        "by_number": people if way == "number" else None,
        "by_room": showing.by_room(rooms, cells) if way == "room" else None,
        "by_time": showing.by_time(rooms, cells) if way == "time" else None,
    }
    return render(request, "reasons/day/timetable.html", context)
