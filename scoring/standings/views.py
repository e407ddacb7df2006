"""Standings in the browser, and the way from any total down to the pairs that were lost."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.http import Http404, HttpResponseBase, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_safe

from contest.models import Contest, Team
from contest.records.tallying import Tallied
from contest.shortcuts import answer, load_contest
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, revision_of
from scoring.core.result import Standing
from scoring.standings.asking import newer, view_of
from scoring.standings.listing import View, standings_page
from scoring.standings.long_lists import in_parts
from scoring.standings.open_ends import open_ends, unsettled
from scoring.standings.rows import find_standing
from scoring.standings.sheets import ContestantSheet, Sheets


@require_safe
def standings(request: Request, pk: int, division: str | None = None, code: str | None = None) -> HttpResponseBase:
    """One list of one division; without either, the first division's overall list. A page that is open already asks
    whether there is anything newer."""
    if is_poll(request):
        return nothing_new(request, str(revision_of(pk))) or newer()
    contest, shown = load_contest(request, pk)
    standing = find_standing(shown.result, division, code)
    if standing is None and division is not None:
        raise Http404("The contest has no such list.")
    page = partial(_standings, contest, shown, standing, view_of(request), request.GET)
    return answer(request, "scoring/standings.html", contest, shown, page)


@require_safe
def contestant(request: Request, pk: int, number: int) -> HttpResponseBase:
    """One contestant's scores, class by class, with the pairs that were lost."""
    contest, shown = load_contest(request, pk)
    sheet = Sheets(shown.record, shown.result, unsettled(contest, shown.record)).contestant(number)
    if sheet is None:
        raise Http404("Nobody has that number.")
    page = partial(_contestant, contest, sheet)
    return answer(request, "scoring/contestant.html", contest, shown, page)


@require_safe
def team(request: Request, pk: int, division: str, team: int) -> HttpResponseBase:
    """One team's scores, member by member, with who counts and who does not."""
    contest, shown = load_contest(request, pk)
    row = Team.objects.filter(pk=team, division__contest=contest, division__code=division).first()
    sheet = row and Sheets(shown.record, shown.result, unsettled(contest, shown.record)).team(division, row.name)
    if not sheet:
        raise Http404("There is no such team.")
    return answer(request, "scoring/team.html", contest, shown, lambda: {"sheet": sheet, "linked": True})


def _standings(
    contest: Contest, shown: Tallied, standing: Standing | None, view: View, asked: QueryDict
) -> dict[str, Any]:
    def address(division: str, code: str) -> str:
        return reverse("standings-list", args=[contest.pk, division, code])

    page = standings_page(shown.record, shown.result, standing, address, unsettled(contest, shown.record), view)
    page = in_parts(page, asked)
    if standing is not None:
        # Looked up a moment after the list: a team may be gone by now, and then leads nowhere.
        rows = open_ends(contest).teams
        page["teams"] = [line._replace(pk=rows.get((standing.division, line.team))) for line in page["teams"]]
    return page | {"linked": True}


def _contestant(contest: Contest, sheet: ContestantSheet) -> dict[str, Any]:
    return {
        "sheet": sheet,
        "linked": True,
        "team_pk": open_ends(contest).teams.get((sheet.division, sheet.team)),
    }
