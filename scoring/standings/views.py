"""Standings in the browser, and the way from any total down to the pairs that were lost."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

from django.http import Http404, HttpResponseBase, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Team, TieDecision
from contest.records.answers import answered
from contest.records.tallying import Tallied
from contest.setup.deciding import decide_tie, shared_places, take_back_decision
from contest.shortcuts import answer, load_contest
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, revision_of
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence, list_names
from scoring.core.result import Standing
from scoring.core.sets import plain_division
from scoring.standings.asking import newer, view_of
from scoring.standings.comparing import beside
from scoring.standings.listing import View, standings_page
from scoring.standings.long_lists import in_parts
from scoring.standings.open_ends import open_ends, unsettled
from scoring.standings.questions import questions_shown
from scoring.standings.rows import find_standing
from scoring.standings.sheet_lines import ContestantSheet
from scoring.standings.sheets import Sheets


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


@require_safe
def questions(request: Request, pk: int, code: str) -> HttpResponseBase:
    """How each question of a part with an answer key went, of everybody who is here."""
    contest, shown = load_contest(request, pk)
    part = get_object_or_404(contest.parts.filter(questions__gt=0), code=code)
    found = answered(contest)[part.code]
    here = {person.number for person in shown.record.contestants if person.present}
    of_those = replace(found, rows={number: row for number, row in found.rows.items() if number in here})
    page = {
        "contest": contest,
        "rules": shown.record.rules,
        "revision": shown.revision,
        "part": part,
        "has_key": found.questions.key is not None,
        "questions": questions_shown(of_those) if of_those.rows else [],
    }
    return render(request, "scoring/questions.html", page)


@require_http_methods(["GET", "HEAD", "POST"])
def ties(request: Request, pk: int, division: str, code: str) -> HttpResponseBase:
    """The places of a list that are shared, to be decided by draw or an official's word; and what was decided."""
    contest, shown = load_contest(request, pk)
    if find_standing(shown.result, division, code) is None:
        raise Http404("The contest has no such list.")
    trouble, status = "", 200
    if request.method == "POST":
        try:
            submitted(request, lambda: _decide(request, contest, division, code))
            return redirect(request.path)
        except (NotPossible, SubmissionReused) as problem:
            trouble, status = as_sentence(problem), 422
            contest, shown = load_contest(request, pk)
    context = {
        "contest": contest,
        "rules": shown.record.rules,
        "revision": shown.revision,
        "division": shown.record.division_names.get(division, division),
        "title": list_names(shown.record)[code],
        "list_address": reverse("standings-list", args=[pk, division, code]),
        "places": list(shared_places(shown.result, division, code)),
        "decisions": list(contest.tie_decisions.filter(division=division, list=code)),
        "typed": request.POST,
        "trouble": trouble,
    }
    return render(request, "scoring/ties.html", context, status=status)


def _decide(request: Request, contest: Contest, division: str, code: str) -> None:
    given = request.POST
    if given.get("act") == "back":
        decision = str(given.get("decision", ""))
        row = contest.tie_decisions.filter(pk=decision if decision.isdecimal() else 0)
        take_back_decision(get_object_or_404(row.select_related("contest")), request.who)
        return
    who, places = given.getlist("who"), given.getlist("place")
    wanted = sorted(str(place) for place in range(1, len(who) + 1))
    if len(who) < 2 or sorted(place.strip() for place in places) != wanted:
        raise NotPossible(_("number them from 1 to {last}, each number once").format(last=max(len(who), 2)))
    if given.get("how") not in TieDecision.How.values:
        raise NotPossible(_("say whether it was a draw or an official’s word"))
    order = [name for _place, name in sorted(zip((int(place) for place in places), who, strict=True))]
    decide_tie(
        contest, request.who, division, code, given.get("kind", ""), order, given["how"], given.get("reason", "")
    )


@require_safe
def side_by_side(request: Request, pk: int) -> HttpResponseBase:
    """Two contestants' scores beside each other, class by class."""
    contest, shown = load_contest(request, pk)
    sheets = Sheets(shown.record, shown.result, unsettled(contest, shown.record))
    asked = [request.GET.get(name, "").strip() for name in ("one", "other")]
    one, other = (sheets.contestant(int(text)) if text.isdecimal() and len(text) < 10 else None for text in asked)
    context = {
        "contest": contest,
        "rules": shown.record.rules,
        "revision": shown.revision,
        "asked": asked,
        "unknown": [text for text, sheet in zip(asked, (one, other), strict=True) if text and sheet is None],
        "pair": beside(one, other) if one and other else None,
    }
    return render(request, "scoring/side_by_side.html", context)


def _standings(
    contest: Contest, shown: Tallied, standing: Standing | None, view: View, asked: QueryDict
) -> dict[str, Any]:
    def address(division: str, code: str) -> str:
        return reverse("standings-list", args=[contest.pk, division, code])

    page = standings_page(shown.record, shown.result, standing, address, unsettled(contest, shown.record), view)
    page = in_parts(page, asked)
    if standing is not None:
        # Looked up a moment after the list: a team may be gone by now, and then leads nowhere.
        rows, division = open_ends(contest).teams, plain_division(standing.division)
        page["teams"] = [line._replace(pk=rows.get((division, line.team))) for line in page["teams"]]
    if standing is not None:
        of = standing.division, standing.code
        drawn = any((decided.division, decided.list) == of for decided in shown.record.decided)
        page["ties_address"] = reverse("standings-ties", args=[contest.pk, *of])
        page["shared"] = len(list(shared_places(shown.result, *of)))
        page["has_ties"] = bool(page["shared"]) or drawn
    return page | {"linked": True}


def _contestant(contest: Contest, sheet: ContestantSheet) -> dict[str, Any]:
    return {
        "sheet": sheet,
        "linked": True,
        "team_pk": open_ends(contest).teams.get((sheet.division, sheet.team)),
    }
