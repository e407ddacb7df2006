"""Helpers of every contest of a day: the superintendent's page of them, and their own list of contests."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import open_to
from contest.helpers import pages
from contest.helpers.addresses import reach
from contest.helpers.codes import SHARED, event_codes, renew_event_code
from contest.helpers.duties import work_page
from contest.helpers.joining import show_out
from contest.models import Duty, Event, Helper
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.events.helping import work_of


@open_to(*Duty)
@never_cache
@require_safe
def mine(request: Request) -> HttpResponse:
    """The contests that a helper works in, and what waits in each; whoever works in one goes on to it."""
    helper = request.helper
    if helper is None:
        return redirect("contests")
    if helper.together is None:
        return redirect(work_page(helper))
    context = {"event": Event.objects.filter(places__contest=helper.contest_id).first(), "work": work_of(helper)}
    return render(request, "scoring/events/mine.html", context)


@never_cache
@require_safe
def helpers(request: Request, event: int) -> HttpResponse:
    """The ways into every contest of the day at once, to show and to print, and who sits where."""
    row = get_object_or_404(Event, pk=event)
    contests = row.contests()
    base = reach(request, contests[0]).base if contests else ""
    context = {
        "event": row,
        "base": base,
        "join_address": base and base + resolve_url("join"),
        "ways_in": [pages.way_in(duty, code, base) for duty, code in event_codes(row).items()],
        "seats": pages.seats_together(contests),
    }
    return render(request, "scoring/events/helpers.html", context)


@require_POST
def renew(request: Request, event: int, duty: str) -> HttpResponse:
    """Give a duty another code for every contest of the day."""
    row = get_object_or_404(Event, pk=event)
    if duty not in SHARED:
        raise Http404("There is no such duty, or each of its officials has a code of their own.")
    submitted(request, lambda: renew_event_code(row, Duty(duty), request.who))
    return redirect(resolve_url("event-helpers", event) + f"#{duty}")


@require_POST
def out(request: Request, event: int, helper: int) -> HttpResponse:
    """Show one helper out of every contest of the day."""
    there = Helper.objects.filter(contest__event_place__event=event, together__isnull=False)
    row = get_object_or_404(there, pk=helper)
    submitted(request, lambda: show_out(row, request.who))
    return redirect("event-helpers", event)
