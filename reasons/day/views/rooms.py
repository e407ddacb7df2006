"""A reasons room on its official's device."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest import outbox
from contest.access import contest_for, open_to
from contest.changes import SubmissionReused, once
from contest.changes.exceptions import NotPossible
from contest.desk import answers
from contest.helpers.addresses import reach
from contest.helpers.codes import renew_code
from contest.models import Contest, Duty, ReasonsOfficial
from contest.web.requests import Request
from contest.web.submissions import submitted
from reasons.day import pages, room_events
from reasons.day.forms import EventForm
from reasons.models import ReasonsDay, Room, Slot
from reasons.scores.entry import points_of


@open_to(Duty.ROOM)
@never_cache
@require_safe
def rooms(request: Request, pk: int) -> HttpResponse:
    """To a tablet, the room of its official; to the superintendent, every room and the ways into it."""
    contest = contest_for(request, pk)
    has_hours = ReasonsDay.objects.filter(contest=contest).exists()
    helper = request.helper
    official = helper and helper.official_id
    own = contest.rooms.filter(officials=official).first() if official else None
    if own and has_hours:
        address = reverse("reasons-room", args=[pk, own.pk, official])
        return redirect(f"{address}?{query}" if (query := request.META["QUERY_STRING"]) else address)
    base = reach(request, contest).base
    tablets = pages.tablets(contest, base) if request.is_superintendent else []
    shown = _shown(contest, tablets=tablets, has_hours=has_hours, base=base, join_address=base + reverse("join"))
    return render(request, "reasons/day/rooms.html", shown)


@require_POST
def new_code(request: Request, pk: int, official: int) -> HttpResponse:
    """Give an official's tablet a new code."""
    contest = contest_for(request, pk)
    row = get_object_or_404(contest.reasons_officials, pk=official)
    submitted(request, lambda: renew_code(contest, Duty.ROOM, request.who, row))
    return redirect(reverse("reasons-rooms", args=[pk]) + f"#official-{row.pk}")


@open_to(Duty.ROOM)
@never_cache
@require_safe
def room(request: Request, pk: int, room: int, official: int) -> HttpResponse:
    contest, room_row, who = _load(request, pk, room, official)
    if not ReasonsDay.objects.filter(contest=contest).exists():
        raise Http404("The reasons have no hours yet.")
    page = pages.room_page(contest, room_row, who, request)
    numbers = {set_["classNumber"] for set_ in page["sets"]}
    shown = _shown(
        contest,
        room=room_row,
        official=who,
        page=page,
        classes=pages.classes_shown(contest, numbers) if room_row.shows_key else [],
    )
    return render(request, "reasons/day/room.html", shown)


@open_to(Duty.ROOM)
@never_cache
@require_safe
def sets(request: Request, pk: int, room: int, official: int) -> HttpResponse:
    contest, room_row, who = _load(request, pk, room, official)
    return JsonResponse({"sets": pages.room_sets(contest, room_row, who, request.who)})


@open_to(Duty.ROOM)
@never_cache
@require_safe
def hello(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    return outbox.hello(request, pages.room_shelf(contest, request))


@open_to(Duty.ROOM)
@require_POST
def events(request: Request, pk: int, room: int, official: int) -> HttpResponse:
    """What happened in the room, told by its device, perhaps long after."""
    form = EventForm(answers.sent(request))
    if not form.is_valid():
        return outbox.refused(answers.first_error(form))
    sent = form.cleaned_data
    if outbox.is_another(request, sent["by"]):
        return outbox.out()
    content = {name: value for name, value in sent.items() if name != "submission"}
    try:
        contest, room_row, who = _load(request, pk, room, official)
        slot = _slot(contest, sent["number"], sent["class_number"])
        answer = once(
            sent["submission"],
            ["room", room_row.pk, who.pk, request.who, content],
            lambda: _happen(request, slot, room_row, who, sent),
        )
    except Http404:
        return outbox.refused("that room, official or set is not in this contest any more")
    except (NotPossible, SubmissionReused) as problem:
        return outbox.refused(str(problem))
    return JsonResponse(answer)


def _happen(
    request: Request, slot: Slot, room: Room, official: ReasonsOfficial, sent: dict[str, Any]
) -> dict[str, str]:
    who, at = request.who, datetime.fromtimestamp(sent["at"] / 1000, UTC)
    match sent["what"]:
        case "begin":
            room_events.begin(slot, room, at, who)
        case "stop":
            room_events.stop(slot, at, who)
        case "absent":
            room_events.mark_no_show(slot, who)
        case "back":
            room_events.call_back(slot, who)
        case "write":
            room_events.write_down(slot, official, sent["note"], sent["marks"], who)
        case "clear":
            room_events.clear_score(slot, official, who)
        case "score":
            points = points_of(sent["points"])
            fate = room_events.give_score(slot, official, points, who, sent["submission"], request.helper)
            return {"kind": fate.kind, "text": fate.text}
    return {"kind": "saved", "text": "saved"}


def _load(request: Request, pk: int, room: int, official: int) -> tuple[Contest, Room, ReasonsOfficial]:
    """The room and its official, if whoever asks is the superintendent or that official's own tablet."""
    contest = contest_for(request, pk)
    if request.helper and request.helper.official_id != official:
        raise Http404("This tablet is another official's.")
    row = get_object_or_404(contest.rooms, pk=room)
    return contest, row, get_object_or_404(row.officials, pk=official)


def _slot(contest: Contest, number: int, class_number: int) -> Slot:
    """By number and class: a set keeps them when it is planned again, and gets another id."""
    return get_object_or_404(
        Slot.objects.select_related("room", "judging_class__contest", "contestant"),
        room__contest=contest,
        contestant__number=number,
        judging_class__number=class_number,
    )


def _shown(contest: Contest, **shown: Any) -> dict[str, Any]:
    return {"contest": contest, "rules": contest, "revision": contest.revision, **shown}
