"""The coach's pages: making a practice, leading it step by step, and the screen in the room."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db.models import Count
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.helpers.addresses import hall_addresses
from contest.models import Practice, PracticeClass, PracticeMember
from contest.practice.forms import ClassForm, PracticeForm
from contest.practice.joining import remove_member
from contest.practice.making import add_class, delete_practice, go_on_with, keep_practice, make_practice
from contest.practice.pictures import sides_of
from contest.practice.running import go_to, set_key
from contest.practice.showing import Coach, Step, class_shown, current, shown_to_group, version_of
from contest.watch.committee_forms import PlacedForm
from contest.web.bounds import part_of
from contest.web.requests import Request
from contest.web.revisions import nothing_new
from contest.web.square_codes import svg_of
from contest.web.submissions import submitted

MOST_LISTED = 50


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def practices(request: Request) -> HttpResponse:
    """The practices there are, and the form that makes another."""
    form = PracticeForm(request.POST if request.method == "POST" else None, initial={"keeps": ""})
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            typed = form.cleaned_data
            try:
                pk = submitted(request, lambda: make_practice(**typed, by=request.who).pk)
                return redirect("practice", pk)
            except SubmissionReused as problem:
                form.add_error(None, str(problem))
    rows = Practice.objects.annotate(people=Count("members", distinct=True)).order_by("-pk").prefetch_related("classes")
    context = {"form": form, "practices": part_of(rows, MOST_LISTED, request.GET)}
    return render(request, "contest/practice/practices.html", context, status=status)


@never_cache
@require_safe
def practice(request: Request, practice: int) -> HttpResponse:
    """Where the practice is, and what comes next."""
    return page(request, practice_or_404(practice))


@never_cache
@require_safe
def live(request: Request, practice: int) -> HttpResponse:
    """Who is in, who has handed in, and what is shown, for the coach's page to ask again."""
    row = practice_or_404(practice)
    return nothing_new(request, version_of(row)) or render(request, "contest/practice/_coach_live.html", _shown(row))


@require_POST
def step(request: Request, practice: int) -> HttpResponse:
    """Show the next step, or the one before."""
    row = practice_or_404(practice)
    try:
        shown, to = int(request.POST.get("shown", "")), int(request.POST.get("to", ""))
        number = int(request.POST.get("number", ""))
    except ValueError:
        raise Http404("There is no such step.") from None
    judged = class_or_404(row, number)
    try:
        submitted(request, lambda: go_to(judged, shown, to))
    except (NotPossible, SubmissionReused) as problem:
        return page(request, row, trouble=str(problem), status=409)
    return redirect(resolve_url("practice", practice) + "#now")


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def key(request: Request, practice: int, number: int) -> HttpResponse:
    """Type the official placing and the cuts of a class; they are shown to nobody before their step."""
    row = practice_or_404(practice)
    judged = class_or_404(row, number)
    begin = PlacedForm.saying(judged.official, judged.cuts) if judged.official else {}
    form = PlacedForm(judged.animals, request.POST if request.method == "POST" else None, initial=begin)
    status = 200
    if request.method == "POST":
        status = 422
        try:
            if form.is_valid():
                submitted(request, lambda: set_key(judged, form.cleaned_data["placing"], form.cuts))
                return redirect(resolve_url("practice", practice) + "#now")
        except (NotPossible, SubmissionReused) as problem:
            form.add_error(None, str(problem))
    context = {"practice": row, "judged": judged, "form": form}
    return render(request, "contest/practice/key.html", context, status=status)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def another(request: Request, practice: int) -> HttpResponse:
    """Go on to another class with the same members."""
    row = practice_or_404(practice)
    before = current(row)
    begin = {"animals": before.animals, "minutes": before.minutes}
    form = ClassForm(request.POST if request.method == "POST" else None, initial=begin)
    status = 200
    if request.method == "POST":
        status = 422
        try:
            if form.is_valid():
                typed = form.cleaned_data
                submitted(request, lambda: add_class(row, **typed).number)
                return redirect("practice", practice)
        except (NotPossible, SubmissionReused) as problem:
            form.add_error(None, str(problem))
    return render(request, "contest/practice/another.html", {"practice": row, "form": form}, status=status)


@require_POST
def go_on(request: Request, practice: int, number: int) -> HttpResponse:
    """Go on with a class that waits, or back to one from before."""
    judged = class_or_404(practice_or_404(practice), number)
    made_or_404(request, lambda: go_on_with(judged))
    return redirect(resolve_url("practice", practice) + "#now")


@require_POST
def keep(request: Request, practice: int) -> HttpResponse:
    """Keep the practice, or let it go by itself."""
    row = practice_or_404(practice)
    keeps = request.POST.get("keeps") == "yes"
    made_or_404(request, lambda: keep_practice(row, keeps))
    return redirect(resolve_url("practice", practice) + "#gone")


@require_POST
def remove(request: Request, practice: int, member: int) -> HttpResponse:
    """Take a member out, with all that they handed in."""
    row = practice_or_404(practice)
    found = PracticeMember.objects.filter(pk=member, practice=row).first()
    if found is not None:
        made_or_404(request, lambda: remove_member(found))
    return redirect("practice", practice)


@require_POST
def delete(request: Request, practice: int) -> HttpResponse:
    """Delete the practice for good, at one press."""
    row = practice_or_404(practice)
    submitted(request, lambda: delete_practice(row, request.who))
    return redirect("practices")


@never_cache
@require_safe
def screen(request: Request, practice: int) -> HttpResponse:
    """What everybody in the room may see, for a projector: no name is on it, and no more than the step allows."""
    row = practice_or_404(practice)
    return render(request, "contest/practice/screen.html", _on_screen(request, row))


@never_cache
@require_safe
def screen_live(request: Request, practice: int) -> HttpResponse:
    row = practice_or_404(practice)
    if unchanged := nothing_new(request, version_of(row)):
        return unchanged
    return render(request, "contest/practice/_screen_live.html", _on_screen(request, row))


def _on_screen(request: Request, row: Practice) -> dict[str, Any]:
    shown = class_shown(current(row))
    return {**shown_to_group(row, shown), **_way_in(request, row), **_side(request, shown.judged)}


def _side(request: Request, judged: PracticeClass) -> dict[str, Any]:
    """The pictures that the screen shows while members place: all animals side by side, from one side at a time."""
    sides = sides_of(judged) if judged.step in (Step.PLACING, Step.CLOSED) else []
    wanted = request.GET.get("side", "")
    return {"sides": sides, "side": next((side for side in sides if side.view == wanted), sides[0] if sides else None)}


def made_or_404(request: Request, work: Callable[[], None]) -> None:
    """Make a change that is only refused where the practice was deleted meanwhile. Raises Http404 then."""
    try:
        submitted(request, work)
    except NotPossible as problem:
        raise Http404(str(problem)) from None


def practice_or_404(pk: int) -> Practice:
    row = Practice.objects.filter(pk=pk).first()
    if row is None:
        raise Http404("There is no such practice.")
    return row


def class_or_404(row: Practice, number: int) -> PracticeClass:
    judged = row.classes.filter(number=number).first()
    if judged is None:
        raise Http404("The practice has no class of that number.")
    return judged


def page(request: Request, row: Practice, trouble: str = "", status: int = 200) -> HttpResponse:
    """The coach's page of a practice, with what could not be done."""
    row.refresh_from_db()
    context = {**_shown(row), **_way_in(request, row), "trouble": trouble}
    return render(request, "contest/practice/practice.html", context, status=status)


def _shown(row: Practice) -> dict[str, Any]:
    coach = Coach(row)
    return {"coach": coach, **shown_to_group(row, coach.shown)}


def _way_in(request: Request, row: Practice) -> dict[str, str]:
    """How members come in: the address to type, and the square code that has the code in it too."""
    base = next(iter(hall_addresses(request.get_host(), request.scheme)), "")
    address = base and base + resolve_url("practice-join")
    return {"join_address": address, "square": address and svg_of(f"{address}?code={row.code}")}
