"""Check-in on a phone: type or scan a number, see who it is, one tap."""

from __future__ import annotations

from django.core.exceptions import BadRequest
from django.db.models import F
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import contest_for, open_to
from contest.entries import arrivals
from contest.entries.pages import check_in_page
from contest.entries.replies import Trouble, attempt, done, show
from contest.history.offering import offer
from contest.models import Contest, Duty
from contest.web.bounds import part_of
from contest.web.requests import Request

A_PART = 200
"""Contestants on a page of those who are missing."""


@open_to(Duty.CHECK_IN)
@require_http_methods(["GET", "HEAD", "POST"])
def check_in(request: Request, pk: int) -> HttpResponse:
    """Show whose number it is; sent, note that they have arrived, or take that back."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return show_check_in(request, contest, request.GET.get("number", ""), said=request.GET.get("done", ""))
    number = request.POST.get("number", "")
    functions = {"in": arrivals.check_in, "undo": arrivals.undo_check_in}
    if request.POST.get("do") not in functions or not number.isascii() or not number.isdecimal():
        raise BadRequest(_("This form does not say whom it is about."))
    contestant = contest.contestants.filter(number=number[:9]).first()
    if contestant is None:
        return show_check_in(request, contest, number, status=422)
    function = functions[request.POST["do"]]
    try:
        attempt(request, lambda: function(contestant, request.who).number)
    except Trouble as trouble:
        return show_check_in(request, contest, number, status=409, trouble=trouble.text)
    return redirect(f"{request.path}?done={contestant.number}")


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
    request: Request, contest: Contest, number: str, status: int = 200, trouble: str = "", said: str = ""
) -> HttpResponse:
    return show(request, "check_in.html", contest, check_in_page(contest, number, said) | {"trouble": trouble}, status)


def show_missing(request: Request, contest: Contest, status: int = 200, trouble: str = "") -> HttpResponse:
    people = arrivals.missing(contest).select_related("division", "team")
    people = people.order_by("division__position", "division_id", F("team__name").asc(nulls_last=True), "number")
    part = part_of(people, A_PART, request.GET)
    came = arrivals.came_unnoticed(contest)
    context = {
        "teams": arrivals.by_team(part.rows),
        "count": part.count,
        "came": came,
        "absent": part.count - len(came),
        "part": part,
        "trouble": trouble,
    }
    return show(request, "missing.html", contest, context, status)
