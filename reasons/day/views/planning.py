"""How the superintendent plans the reasons: hours, rooms, drafts, and putting one in force."""

from __future__ import annotations

from datetime import time
from typing import Any
from uuid import UUID

from django.db.models import Count, Max, Q
from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Contest
from contest.records.tallying import tallied
from contest.web.requests import Request
from contest.web.revisions import besides_cards, is_poll, nothing_new
from contest.web.submissions import submission_of, submitted
from reasons.day import search, showing
from reasons.day.changing import deal_classes, hear_everything, put_in_force, remove_room, save_room, set_day
from reasons.day.forms import DayForm, PlanForm, RoomForm
from reasons.day.hall import RoomNow, rooms_at
from reasons.day.timetable import BEGUN, Wishes, reasons_classes, rooms_of, wishes_in_force
from reasons.models import ReasonsDay, Room, Slot
from reasons.planning.clock import DAY, clock_time
from reasons.planning.from_record import speakers_of
from reasons.planning.plan import on_starts

GONE = gettext_lazy("That draft is gone: newer ones took its place. Plan again.")


@never_cache
@require_safe
def planning(request: Request, pk: int) -> HttpResponse:
    return _show(request, contest_for(request, pk))


@require_POST
def hours(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = DayForm(request.POST, instance=_day(contest))
    if not form.is_valid():
        return _show(request, contest, hours=form, status=422)
    try:
        submitted(request, lambda: set_day(contest, request.who, **form.cleaned_data).pk)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error(None, str(problem))
        return _show(request, contest, hours=form, status=422)
    return redirect("reasons", pk)


@require_POST
def room(request: Request, pk: int, room: int | None = None) -> HttpResponse:
    """Add a room, or change one."""
    contest = contest_for(request, pk)
    changed = _room(contest, room) if room else None
    form = RoomForm(request.POST, contest=contest, prefix=f"room-{room}" if room else "new")
    if form.is_valid():
        sent = form.cleaned_data
        officials, classes = list(sent["officials"]), list(sent["classes"])
        try:
            submitted(
                request,
                lambda: (
                    save_room(
                        contest,
                        changed,
                        sent["name"],
                        officials,
                        sent["shows_key"],
                        request.who,
                        classes,
                        sent["is_quiet"],
                    ).pk
                ),
            )
            return redirect("reasons", pk)
        except (NotPossible, SubmissionReused) as problem:
            form.add_error("name", str(problem))
    return _show(request, contest, room_forms={room: form}, status=422)


@require_POST
def no_room(request: Request, pk: int, room: int) -> HttpResponse:
    contest = contest_for(request, pk)
    row = contest.rooms.filter(pk=room).first()
    try:
        if row:  # sent again by an impatient finger, it is gone already
            submitted(request, lambda: remove_room(row, request.who))
    except (NotPossible, SubmissionReused) as problem:
        return _show(request, contest, problem=str(problem), status=409)
    return redirect("reasons", pk)


@require_POST
def deal(request: Request, pk: int) -> HttpResponse:
    """Deal the classes out to the rooms, or let every room hear every class."""
    contest = contest_for(request, pk)
    change = deal_classes if request.POST.get("how") == "keep" else hear_everything
    try:
        submitted(request, lambda: change(contest, request.who))
    except (NotPossible, SubmissionReused) as problem:
        return _show(request, contest, problem=str(problem), status=409)
    return redirect("reasons", pk)


@require_POST
def plan(request: Request, pk: int) -> HttpResponse:
    """Plan, and go on to the draft that came of it. This changes nothing yet."""
    contest = contest_for(request, pk)
    if not _day(contest):
        return _show(request, contest, problem=_("Say first when reasons begin."), status=409)
    form = _plan_form(contest, rooms_of(contest), request.POST)
    if not form.is_valid():
        return _show(request, contest, plan=form, status=422)
    key = submission_of(request)
    try:
        search.search_for(key, contest, form.wishes())
    except NotPossible as problem:
        form.add_error(None, str(problem))
        return _show(request, contest, plan=form, status=422)
    return redirect("reasons-draft", pk, key)


@never_cache
@require_safe
def draft(request: Request, pk: int, key: UUID) -> HttpResponse:
    contest = contest_for(request, pk)
    running = search.find(key, contest)
    if not running:
        return _show(request, contest, problem=str(GONE), status=404)
    if same := nothing_new(request, running.version):
        return same
    return _show_draft(request, contest, key, running)


@require_POST
def better(request: Request, pk: int, key: UUID) -> HttpResponse:
    """Look longer for a better draft."""
    contest = contest_for(request, pk)
    running = search.find(key, contest)
    if not running:
        return _show(request, contest, problem=str(GONE), status=404)
    search.keep_searching(running)
    return redirect("reasons-draft", pk, key)


@require_POST
def publish(request: Request, pk: int, key: UUID) -> HttpResponse:
    """Put the draft that the page showed in force: the rooms and the waiting hall follow it from now on."""
    contest = contest_for(request, pk)
    running = search.find(key, contest)
    if not running:
        return _show(request, contest, problem=str(GONE), status=404)
    try:
        place = int(request.POST.get("draft", ""))
        shown = running.draft(place)
    except (LookupError, ValueError):
        return _show(request, contest, problem=str(GONE), status=404)
    try:
        submitted(request, lambda: put_in_force(contest, shown, request.who))
    except (NotPossible, SubmissionReused) as problem:
        return _show(request, contest, problem=str(problem), status=409)
    search.use(running, place)
    return redirect("reasons-draft", pk, key)


def _show(
    request: Request,
    contest: Contest,
    *,
    hours: DayForm | None = None,
    room_forms: dict[int | None, RoomForm] | None = None,
    plan: PlanForm | None = None,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    day, rooms = _day(contest), rooms_of(contest)
    room_forms, choices = room_forms or {}, RoomForm.choices_of(contest)
    now = rooms_at(contest, besides_cards(contest.pk, contest.revision))
    named = {state.name: state for state in now}
    slots = Slot.objects.filter(room__contest=contest)
    counts = slots.aggregate(all=Count("pk"), heard=Count("pk", filter=Q(state__in=BEGUN)), ends=Max("ends_at"))
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "problem": problem,
        "day": day,
        "hours": hours or DayForm(instance=day or ReasonsDay(contest=contest, starts_at=contest.starts_at or time(9))),
        "rooms": [(room, room_forms.get(room.pk) or _room_form(contest, room, choices)) for room in rooms],
        "rooms_now": [(room, named[room.name]) for room in rooms if room.name in named],
        "new_room": room_forms.get(None) or _new_room_form(contest, rooms),
        "officials": contest.reasons_officials.exists(),
        "classes": reasons_classes(contest),
        "plan": plan or _plan_form(contest, rooms),
        "slots": counts["all"],
        "heard": counts["heard"],
        "latest": max(
            (state for state in now if day and state.behind > day.minutes_per_set), key=_behind, default=None
        ),
        "ends": counts["ends"],
    }
    return render(request, "reasons/day/planning.html", context, status=status)


def _behind(room: RoomNow) -> int:
    return room.behind


def _show_draft(request: Request, contest: Contest, key: UUID, running: search.Search) -> HttpResponse:
    rooms = rooms_of(contest)
    names = [room.name for room in rooms]
    made = running.in_force or running.draft()
    moved = running.moves(made)
    timing = running.planning.task.timing
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "key": key,
        "search": running,
        "draft": made,
        "place": running.count,
        "begins": clock_time(min((planned.start for planned in made.sets), default=made.ends)),
        "ends": clock_time(made.ends),
        "bound": clock_time(made.bound.ends),
        "past_midnight": made.ends > DAY,
        "on_starts": "" if timing.is_even else on_starts(timing),
        "without_official": [room for room in rooms if not room.officials.all()],
        "rooms": names,
        "rows": showing.by_time(names, showing.cells_planned(rooms, made.sets)),
        "is_again": bool(running.planning.in_force),
        "moves": showing.move_lines(rooms, moved) if running.planning.in_force else [],
        "in_short": showing.in_short(moved),
        "elsewhere": running.planning.elsewhere.contests,
        "clashing": showing.cells_planned(rooms, running.planning.elsewhere.clashing(made.sets)),
    }
    return render(request, f"reasons/day/{'_draft' if is_poll(request) else 'draft'}.html", context)


def _plan_form(contest: Contest, rooms: list[Room], data: QueryDict | None = None) -> PlanForm:
    day = _day(contest)
    wishes = wishes_in_force(contest, day) if day else Wishes()
    return PlanForm(
        data, rooms=rooms, numbers={speaker.number for speaker in speakers_of(tallied(contest).record)}, wishes=wishes
    )


def _room_form(contest: Contest, room: Room, choices: dict[str, Any] | None = None) -> RoomForm:
    initial = {
        "name": room.name,
        "officials": room.officials.all(),
        "classes": room.classes.all(),
        "shows_key": room.shows_key,
        "is_quiet": room.is_quiet,
    }
    return RoomForm(initial=initial, contest=contest, choices=choices, prefix=f"room-{room.pk}")


def _new_room_form(contest: Contest, rooms: list[Room]) -> RoomForm:
    return RoomForm(initial={"name": str(len(rooms) + 1)}, contest=contest, prefix="new")


def _day(contest: Contest) -> ReasonsDay | None:
    return ReasonsDay.objects.filter(contest=contest).first()


def _room(contest: Contest, pk: int) -> Room:
    row = contest.rooms.filter(pk=pk).first()
    if not row:
        raise Http404("There is no such room.")
    return row
