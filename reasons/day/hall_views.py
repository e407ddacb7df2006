"""The waiting hall and the whole timetable, for whoever waits: numbers only, so that no sign-in is needed."""

from __future__ import annotations

import hashlib
from typing import Any

from django.core.cache import cache
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString
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
    if same := nothing_new(request, _version(request, pk)):
        return same
    rooms = _rooms(request, pk)
    context = {
        **_looked_up(request, pk, rooms),
        "version": _version_of(rooms),
        "rooms": rooms,
        "absent": [cell for room in rooms for cell in room.absent],
    }
    return render(request, f"reasons/day/{'_hall' if is_poll(request) else 'hall'}.html", context)


@open_to_all
@never_cache
@require_safe
def timetable(request, pk):
    """All of it, to look somebody up in or to print and pin to the wall."""
    version, rooms = _version(request, pk), _rooms(request, pk)
    way = request.GET.get("by", "")
    way = way if way in WAYS else "number"
    whole = once_a_version(f"timetable-{pk}-{way}", version, lambda: _whole(rooms, way))
    context = {
        **_looked_up(request, pk, rooms),
        "sets": any(room.cells for room in rooms),
        "way": way,
        "ways": WAYS.items(),
        "whole": whole,
    }
    return render(request, "reasons/day/timetable.html", context)


def _whole(rooms: list[RoomNow], way: str) -> SafeString:
    """Every set, made once for all who look: hundreds of phones ask for it."""
    cells = [cell for room in rooms for cell in room.cells]
    names = [room.name for room in rooms]
    shown = {
        "number": lambda: {"by_number": showing.by_number(cells)},
        "room": lambda: {"by_room": rooms},
        "time": lambda: {"rooms": names, "rows": showing.by_time(names, cells)},
    }
    return render_to_string(f"reasons/day/_by_{way}.html", shown[way]())


def _looked_up(request, pk: int, rooms: list[RoomNow]) -> dict[str, Any]:
    """What every page of these needs, and the sets of whoever is looked up."""
    contest = contest_for(request, pk)
    find = FindForm(request.GET)
    found = sorted(cell for room in rooms for cell in room.cells if cell.number == find.wanted)
    shown = {"contest": contest, "rules": contest, "revision": contest.revision}
    return {**shown, "find": find, "number": find.wanted, "found": found}


def _version(request, pk: int) -> str:
    """Changes when the hall does, and not when a card is read somewhere. Worked out once a revision and minute."""

    def work_out() -> str:
        rooms = _rooms_now(contest_for(request, pk))
        cache.set(f"hall-{pk}", rooms, FORGET_AFTER)
        return _version_of(rooms)

    return once_a_version(f"hall-version-{pk}", f"{revision_of(pk)} {timezone.now():%H:%M}", work_out)


def _rooms(request, pk: int) -> list[RoomNow]:
    kept = cache.get(f"hall-{pk}")
    return _rooms_now(contest_for(request, pk)) if kept is None else kept


def _rooms_now(contest: Contest) -> list[RoomNow]:
    return rooms_now(contest, rooms_of(contest), slots_of(contest))


def _version_of(rooms: list[RoomNow]) -> str:
    return hashlib.sha256(repr(rooms).encode()).hexdigest()[:16]
