"""The waiting hall and the whole timetable, for whoever waits: numbers only, so that no sign-in is needed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from typing import Any

from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from contest.access import contest_for, open_to_all
from contest.models import Contest
from contest.web.bounds import PAGE, part_of
from contest.web.requests import Request
from contest.web.revisions import besides_cards, is_poll, nothing_new, once_a_version, revision_of
from reasons.day import showing
from reasons.day.forms import FindForm
from reasons.day.hall import RoomNow, rooms_at

A_PART = {"number": 100, "room": 6, "time": 60}
"""How many numbers, rooms or minutes stand on a page of the timetable; the others follow on further pages."""

ROWS = {"number": "numbers", "room": "rooms", "time": "times"}
NAMES = {"number": "by_number", "room": "by_room", "time": "rows"}
WAYS = {"number": gettext_lazy("By number"), "room": gettext_lazy("By room"), "time": gettext_lazy("By time")}


@open_to_all
@never_cache
@require_safe
def hall(request: Request, pk: int) -> HttpResponse:
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
def timetable(request: Request, pk: int) -> HttpResponse:
    """All of it, to look somebody up in or to print and pin to the wall."""
    version, rooms = _version(request, pk), _rooms(request, pk)
    way = request.GET.get("by", "")
    way = way if way in WAYS else "number"
    page = request.GET.get(PAGE, "")
    whole = once_a_version(f"timetable-{pk}-{way}-{page[:4]}", version, lambda: _whole(rooms, way, request.GET))
    context = {
        **_looked_up(request, pk, rooms),
        "sets": any(room.cells for room in rooms),
        "way": way,
        "ways": WAYS.items(),
        "whole": whole,
    }
    return render(request, "reasons/day/timetable.html", context)


def _whole(rooms: list[RoomNow], way: str, asked: QueryDict) -> SafeString:
    """A part of all sets, made once for all who look: hundreds of phones ask for it."""
    cells = [cell for room in rooms for cell in room.cells]
    names = [room.name for room in rooms]
    every: dict[str, Callable[[], Sequence[Any]]] = {
        "number": lambda: showing.by_number(cells),
        "room": lambda: rooms,
        "time": lambda: showing.by_time(names, cells),
    }
    rows = every[way]()
    now = next((place for place, row in enumerate(rows) if row.is_next), None) if way == "time" else None
    part = part_of(rows, A_PART[way], _bare(asked, way), None if PAGE in asked else now)
    shown = {"part": part, "what": ROWS[way], "rooms": names, NAMES[way]: part.rows}
    return render_to_string("reasons/day/_whole.html", shown | {"way": f"reasons/day/_by_{way}.html"})


def _bare(asked: QueryDict, way: str) -> QueryDict:
    """What of an address the links to other parts keep: who is looked up there is nobody else's."""
    kept = QueryDict(mutable=True)
    kept["by"] = way
    if page := asked.get(PAGE):
        kept[PAGE] = page
    return kept


def _looked_up(request: Request, pk: int, rooms: list[RoomNow]) -> dict[str, Any]:
    """What every page of these needs, and the sets of whoever is looked up."""
    contest = contest_for(request, pk)
    if not request.who and not any(room.cells for room in rooms) and _is_to_come(contest):
        raise Http404("That contest is nobody's business yet.")
    find = FindForm(request.GET)
    cells = sorted(cell for room in rooms for cell in room.cells if cell.number == find.wanted)
    shown = {"contest": contest, "rules": contest, "revision": contest.revision}
    return {**shown, "find": find, "number": find.wanted, "found": cells}


def _is_to_come(contest: Contest) -> bool:
    return contest.held_on is None or contest.held_on > timezone.localdate()


def _version(request: Request, pk: int) -> str:
    """Changes when the hall does, and not when a card is read somewhere. Worked out once a revision and minute."""
    return _version_and_rooms(request, pk)[0]


def _rooms(request: Request, pk: int) -> list[RoomNow]:
    return _version_and_rooms(request, pk)[1]


def _version_and_rooms(request: Request, pk: int) -> tuple[str, list[RoomNow]]:
    version = besides_cards(pk, revision_of(pk))

    def work_out() -> tuple[str, list[RoomNow]]:
        rooms = rooms_at(contest_for(request, pk), version)
        return _version_of(rooms), rooms

    return once_a_version(f"hall-version-{pk}", f"{version} {timezone.now():%H:%M}", work_out)


def _version_of(rooms: list[RoomNow]) -> str:
    return hashlib.sha256(repr(rooms).encode()).hexdigest()[:16]
