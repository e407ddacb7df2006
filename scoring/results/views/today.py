"""The front door, for whoever opens the address and is nobody here yet."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from contest.access import open_to_all, open_to_the_public
from contest.models import Contest, Event
from contest.web.requests import Request
from reasons.models import Slot
from scoring.announced.today import todays_contests
from scoring.events import changing
from scoring.results.finding import found_in, wanted_in
from scoring.results.live import shown_to_all, site_of
from scoring.results.views.public import waiting


@open_to_the_public
@require_safe
def today(request: Request) -> HttpResponse:
    """What there is to see of today's contest, and only then the way in for helpers."""
    planned = Slot.objects.filter(judging_class__contest__in=(contests := todays_contests()))
    with_timetable = set(planned.values_list("judging_class__contest", flat=True))
    shown = [
        {
            "contest": contest,
            "has_timetable": contest.pk in with_timetable,
            "results_are_out": shown_to_all(contest) is not None,
        }
        for contest in contests
    ]
    days = [day for day in Event.objects.filter(places__contest__in=contests).distinct() if changing.announced(day)]
    response = render(request, "scoring/public/today.html", {"contests": shown, "days": days})
    response.headers["Cache-Control"] = "no-cache"
    return response


@open_to_all
@require_safe
def find(request: Request, pk: int) -> HttpResponse:
    """A number or a team, looked for in every list that was announced."""
    contest = get_object_or_404(Contest, pk=pk)
    announced = shown_to_all(contest)
    if announced is None:
        return waiting(request, contest)
    wanted = wanted_in(request.GET)
    site = site_of(contest, announced)
    context = {
        "rules": announced.record.rules,
        "site": site,
        "announced": announced,
        "here": request.get_full_path(),
        "wanted": wanted,
        "found": found_in(announced, wanted, site.list_address),
        "address": reverse("public-find", args=[contest.pk]),
    }
    response = render(request, "scoring/public/find.html", context)
    response.headers["Cache-Control"] = "no-cache"
    return response
