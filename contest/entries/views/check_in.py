"""Check-in on a phone: type or scan a number, a name or a team, see who it is, one tap."""

from __future__ import annotations

from django.core.exceptions import BadRequest
from django.db.models import F
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest import outbox
from contest.access import contest_for, open_to
from contest.entries import arrivals
from contest.entries.check_in_pages import check_in_page, known, number_of
from contest.entries.replies import Trouble, attempt, done, show
from contest.history.offering import offer
from contest.models import Contest, Duty
from contest.web.bounds import part_of
from contest.web.requests import Request
from contest.web.revisions import nothing_new

A_PART = 200
"""Contestants on a page of those who are missing."""

ROOM = "check_in"
MOST_TOGETHER = 200


@open_to(Duty.CHECK_IN)
@require_http_methods(["GET", "HEAD", "POST"])
@outbox.sent_by_outbox
def check_in(request: Request, pk: int) -> HttpResponse:
    """Show who is meant by what was typed; sent with `do`, note that they have arrived, or take that back."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return show_check_in(request, contest, request.GET.get("number", ""), said=request.GET.getlist("done"))
    if "find" in request.POST:  # what is typed may be a name, so it is sent rather than asked for
        return show_check_in(request, contest, request.POST["find"])
    numbers = _numbers(request)
    if len(numbers) == 1:
        return _one(request, contest, *numbers)
    together = {"in": arrivals.check_in_together, "undo": arrivals.undo_together}[request.POST["do"]]
    try:
        changed = attempt(request, lambda: together(contest, numbers, request.who))
    except Trouble as trouble:
        return show_check_in(request, contest, "", status=409, trouble=trouble.text)
    return _onward(request, contest, changed)


def _numbers(request: Request) -> list[int]:
    """Whom a form is about. Raises BadRequest where it does not say."""
    texts = request.POST.getlist("number")[:MOST_TOGETHER]
    numbers = [number for text in texts if (number := number_of(text)) is not None]
    if request.POST.get("do") not in ("in", "undo") or not numbers or len(numbers) < len(texts):
        raise BadRequest(_("This form does not say whom it is about."))
    return numbers


def _one(request: Request, contest: Contest, number: int) -> HttpResponse:
    contestant = contest.contestants.filter(number=number).first()
    if contestant is None:
        why = _("Nobody has number {number}").format(number=number)
        return outbox.because(show_check_in(request, contest, str(number), status=422), why)
    function = {"in": arrivals.check_in, "undo": arrivals.undo_check_in}[request.POST["do"]]
    try:
        changed = attempt(request, lambda: function(contestant, request.who).number)
    except Trouble as trouble:
        return show_check_in(request, contest, str(number), status=409, trouble=trouble.text)
    return _onward(request, contest, [changed])


def _onward(request: Request, contest: Contest, numbers: list[int]) -> HttpResponse:
    if "missing" in request.POST:
        text = _("{numbers} checked in.").format(numbers=", ".join(map(str, numbers)))
        return done(request, text, "check-in-missing", pk=contest.pk)
    return redirect(reverse("check_in", args=[contest.pk], query={"done": numbers}))


@open_to(Duty.CHECK_IN)
@never_cache
@require_safe
def people(request: Request, pk: int) -> HttpResponse:
    """Everybody whom check-in may be asked for, for the page's script."""
    listed = known(contest_for(request, pk))
    return nothing_new(request, listed["version"]) or JsonResponse(listed)


@open_to(Duty.CHECK_IN)
@never_cache
@require_safe
def hello(request: Request, pk: int) -> HttpResponse:
    return outbox.hello(request, outbox.shelf_of(request, contest_for(request, pk), ROOM))


@open_to(Duty.CHECK_IN)
@require_safe
def missing(request: Request, pk: int) -> HttpResponse:
    """Who has not arrived, by team."""
    return show_missing(request, contest_for(request, pk))


@require_POST
def scratch(request: Request, pk: int) -> HttpResponse:
    """Scratch everybody who has not arrived."""
    contest = contest_for(request, pk)
    told = request.POST.get("count", "")
    if not told.isascii() or not told.isdecimal():
        raise BadRequest(_("This form does not say how many are missing."))
    if "sure" not in request.POST:
        return show_missing(request, contest, 422, _("Tick that you are sure, then press again."))
    before = contest.revision
    try:
        count = attempt(request, lambda: arrivals.scratch_missing(contest, int(told[:9]), request.who))
    except arrivals.CountChanged as changed:
        text = _("You were told of {before}, and now it would be {now}. Look again, then confirm.")
        return show_missing(request, contest, 409, text.format(before=told, now=changed.now))
    except Trouble as trouble:
        return show_missing(request, contest, trouble.status, trouble.text)
    offer(request, contest, before)
    text = ngettext("{count} scratched.", "{count} scratched.", count)
    return done(request, text.format(count=count), "check-in-missing", pk=pk)


def show_check_in(
    request: Request, contest: Contest, typed: str, status: int = 200, trouble: str = "", said: list[str] | None = None
) -> HttpResponse:
    page = outbox.outbox_of(request, contest, ROOM) | {"people": known(contest)}
    page["addresses"] |= {
        "told": reverse("check_in", args=[contest.pk]),
        "people": reverse("check-in-people", args=[contest.pk]),
    }
    shown = check_in_page(contest, typed, said or []) | {"trouble": trouble, "page": page}
    return outbox.because(show(request, "check_in.html", contest, shown, status), trouble)


def show_missing(request: Request, contest: Contest, status: int = 200, trouble: str = "") -> HttpResponse:
    people = arrivals.missing(contest).select_related("division", "team")
    people = people.order_by("division__position", "division_id", F("team__name").asc(nulls_last=True), "number")
    part = part_of(people, A_PART, request.GET)
    came = set(arrivals.came_unnoticed(contest).values_list("pk", flat=True))
    context = {
        "teams": arrivals.by_team(part.rows),
        "count": part.count,
        "came": came,
        "never_came": arrivals.never_came(contest),
        "absent": part.count - len(came),
        "part": part,
        "trouble": trouble,
        "outbox": outbox.outbox_of(request, contest, ROOM),
    }
    return show(request, "missing.html", contest, context, status)
