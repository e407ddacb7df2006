"""Standings in the browser."""

from functools import partial

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from contest.shortcuts import answer, load_contest
from scoring import pages


@require_safe
def standings(request: HttpRequest, pk: int, division: str | None = None, code: str | None = None) -> HttpResponse:
    """One list of one division; without either, the first division's overall list."""
    contest, shown = load_contest(request, pk)
    standing = pages.find_standing(shown.result, division, code)
    if standing is None and division is not None:
        raise Http404("The contest has no such list.")
    page = partial(pages.standings_page, shown.record, shown.result, standing)
    return answer(request, "scoring/standings.html", contest, shown, page)
