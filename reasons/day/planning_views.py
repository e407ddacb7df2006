"""The superintendent's timetable of the reasons: hours, rooms, planning, and putting a plan in force."""

from __future__ import annotations

from datetime import time

from django.http import Http404
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.models import Contest
from contest.reading import NotPossible
from contest.submissions import submitted
from reasons.day import pages
from reasons.day.changing import Overtaken, put_in_force, remove_room, save_room, set_day
from reasons.day.forms import DayForm, PlanForm, RoomForm
from reasons.day.timetable import BEGUN, Draft, Wishes, make_draft, opened, slots_of, who_moves
from reasons.models import ReasonsDay, Room
from reasons.planning.clock import clock_time

MORE_SECONDS = 10


@never_cache
@require_safe
def timetable(request, pk):
    return _show(request, contest_for(request, pk))


@require_POST
def hours(request, pk):
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
def room(request, pk, room=None):
    """Add a room, or change one."""
    contest = contest_for(request, pk)
    changed = _room(contest, room) if room else None
    form = RoomForm(request.POST, contest=contest, prefix=f"room-{room}" if room else "new")
    try:
        if form.is_valid():
            sent = form.cleaned_data
            submitted(
                request,
                lambda: (
                    save_room(
                        contest, changed, sent["name"], list(sent["officials"]), sent["shows_key"], request.who
                    ).pk
                ),
            )
            return redirect("reasons", pk)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("name", str(problem))
    return _show(request, contest, room_forms={room: form}, status=422)


@require_POST
def no_room(request, pk, room):
    contest = contest_for(request, pk)
    found = contest.rooms.filter(pk=room).first()
    try:
        if found:  # sent again by an impatient finger, it is gone already
            submitted(request, lambda: remove_room(found, request.who))
    except (NotPossible, SubmissionReused) as problem:
        return _show(request, contest, problem=str(problem), status=409)
    return redirect("reasons", pk)


@never_cache
@require_POST
def draft(request, pk):
    """Plan, and show what came of it. This changes nothing yet."""
    contest = contest_for(request, pk)
    if not _day(contest):
        return _show(request, contest, problem="Say first when reasons begin.", status=409)
    form = PlanForm(request.POST, rooms=list(contest.rooms.all()))
    if not form.is_valid():
        return _show(request, contest, plan=form, status=422)
    wishes = Wishes(form.cleaned_data["keep"], form.hours("from"), form.hours("until"), form.cleaned_data["late"])
    try:
        made = make_draft(contest, wishes)
    except NotPossible as problem:
        form.add_error(None, str(problem))
        return _show(request, contest, plan=form, status=422)
    return _show_draft(request, contest, made)


@never_cache
@require_POST
def better(request, pk):
    """Look longer for a better draft than the one that the page shows."""
    contest = contest_for(request, pk)
    try:
        shown = opened(request.POST.get("draft", ""))
        tries = int(request.POST.get("tries", "0")) + 1
        made = make_draft(contest, shown.wishes, MORE_SECONDS, seed=tries)
    except (NotPossible, ValueError) as problem:
        return _show(request, contest, problem=str(problem), status=409)
    is_better = (made.following, made.ends) < (shown.following, shown.ends)
    said = "This one is better." if is_better else "Nothing better was found; this is still the best."
    return _show_draft(request, contest, made if is_better else shown, said, tries)


@require_POST
def publish(request, pk):
    """Put the draft in force: the rooms and the waiting hall follow it from now on."""
    contest = contest_for(request, pk)
    try:
        shown = opened(request.POST.get("draft", ""))
        submitted(request, lambda: put_in_force(contest, shown, request.who))
    except (Overtaken, NotPossible, SubmissionReused) as problem:
        return _show(request, contest, problem=str(problem), status=409)
    return redirect("reasons", pk)


def _show(request, contest: Contest, *, hours=None, room_forms=None, plan=None, problem: str = "", status: int = 200):
    day, rooms, slots = _day(contest), list(contest.rooms.prefetch_related("officials")), slots_of(contest)
    room_forms = room_forms or {}
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "problem": problem,
        "day": day,
        "hours": hours or DayForm(instance=day or ReasonsDay(contest=contest, starts_at=contest.starts_at or time(9))),
        "rooms": [(room, room_forms.get(room.pk) or _room_form(contest, room)) for room in rooms],
        "new_room": room_forms.get(None) or _new_room_form(contest, rooms),
        "officials": contest.reasons_officials.exists(),
        "plan": plan or PlanForm(rooms=rooms),
        "slots": len(slots),
        "heard": sum(slot.state in BEGUN for slot in slots),
        "grid": pages.grid_in_force(contest, rooms, slots),
        "ends": slots and max(slot.ends_at for slot in slots),
    }
    return render(request, "reasons/day/timetable.html", context, status=status)


def _show_draft(request, contest: Contest, made: Draft, said: str = "", tries: int = 0):
    rooms = list(contest.rooms.all())
    in_force = bool(slots_of(contest))
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "draft": made,
        "sealed": made.sealed(),
        "tries": tries,
        "said": said,
        "begins": clock_time(min((one.start for one in made.sets), default=made.ends)),
        "ends": clock_time(made.ends),
        "bound": clock_time(made.bound_ends),
        "grid": pages.grid(rooms, made.sets),
        "in_force": in_force,
        "moves": pages.move_lines(rooms, who_moves(contest, made)) if in_force else [],
    }
    return render(request, "reasons/day/draft.html", context)


def _room_form(contest: Contest, room: Room) -> RoomForm:
    initial = {"name": room.name, "officials": room.officials.all(), "shows_key": room.shows_key}
    return RoomForm(initial=initial, contest=contest, prefix=f"room-{room.pk}")


def _new_room_form(contest: Contest, rooms: list[Room]) -> RoomForm:
    return RoomForm(initial={"name": str(len(rooms) + 1)}, contest=contest, prefix="new")


def _day(contest: Contest) -> ReasonsDay | None:
    return ReasonsDay.objects.filter(contest=contest).first()


def _room(contest: Contest, pk: int) -> Room:
    found = contest.rooms.filter(pk=pk).first()
    if not found:
        raise Http404("There is no such room.")
    return found
