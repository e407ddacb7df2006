"""Which cards and scores decide the awards."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from contest.access import contest_for
from contest.changes.snapshot import one_snapshot
from contest.records.tallying import tallied_exactly
from contest.web.requests import Request
from scoring.results.closeness import closest, page


@never_cache
@require_safe
def margins(request: Request, pk: int) -> HttpResponse:
    """The margin of every award and what decides it; the page of results asks for the closest alone, as it takes a
    moment."""
    with one_snapshot():
        contest = contest_for(request, pk)
        shown = tallied_exactly(contest)
        context = closest(contest, shown) if request.htmx else page(contest, shown, request.GET)
    context |= {"contest": contest, "rules": shown.record.rules, "revision": shown.revision}
    return render(request, f"scoring/results/{'_margins_closest' if request.htmx else 'margins'}.html", context)
