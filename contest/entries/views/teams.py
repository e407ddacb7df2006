"""Teams: how many members each has against the rules of its division, and teams that may be one."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.entries import teams as changing
from contest.entries.forms import MergeForm, RenameForm, SizesForm
from contest.entries.replies import Trouble, attempt, done, show
from contest.entries.team_pages import division_shown, team_shown
from contest.history.offering import offer
from contest.models import Contest, Division, Team
from contest.web.requests import Request


@require_safe
def teams(request: Request, pk: int) -> HttpResponse:
    return show_teams(request, contest_for(request, pk))


@require_POST
def sizes(request: Request, pk: int, division: str) -> HttpResponse:
    """Say how many members the teams of a division have at least and at most."""
    contest = contest_for(request, pk)
    row = get_object_or_404(contest.divisions, code=division)
    form = SizesForm(request.POST, prefix_of=row.code)
    if not form.is_valid():
        return show_teams(request, contest, row, form, 422)
    least, most = form.cleaned_data["least"] or 0, form.cleaned_data["most"] or 0
    try:
        attempt(request, lambda: changing.set_team_sizes(row, least, most, request.who))
    except Trouble as trouble:
        form.trouble(trouble)
        return show_teams(request, contest, row, form, trouble.status)
    return done(request, _("The sizes of teams in {division} are saved.").format(division=row.name), "teams", pk=pk)


@require_safe
def team(request: Request, pk: int, team: int) -> HttpResponse:
    """One team: its members, and what can be done with it."""
    contest, row = _team(request, pk, team)
    return show_team(request, contest, row)


@require_POST
def rename(request: Request, pk: int, team: int) -> HttpResponse:
    contest, row = _team(request, pk, team)
    form = RenameForm(request.POST)
    if not form.is_valid():
        return show_team(request, contest, row, 422, name=form)
    before = contest.revision
    try:
        attempt(request, lambda: changing.rename_team(row, form.cleaned_data["name"], request.who))
    except Trouble as trouble:
        form.trouble(trouble)
        return show_team(request, contest, row, trouble.status, name=form)
    offer(request, contest, before)
    text = _("{team} is called {name} now.").format(team=row.name, name=form.cleaned_data["name"])
    return done(request, text, "teams", pk=pk)


@require_POST
def merge(request: Request, pk: int, team: int) -> HttpResponse:
    """Make one team of two; sent again it finds the first one gone, and says so."""
    contest, row = _team(request, pk, team)
    form = MergeForm(row, request.POST)
    if not form.is_valid():
        return show_team(request, contest, row, 422, into=form)
    into = form.cleaned_data["into"]
    before = contest.revision
    try:
        attempt(request, lambda: changing.merge_teams(row, into, request.who))
    except Trouble as trouble:
        form.trouble(trouble)
        return show_team(request, contest, row, trouble.status, into=form)
    offer(request, contest, before)
    return done(request, _("{team} is part of {into} now.").format(team=row.name, into=into.name), "teams", pk=pk)


def _team(request: Request, pk: int, team: int) -> tuple[Contest, Team]:
    contest = contest_for(request, pk)
    row = Team.objects.select_related("division").filter(division__contest=contest, pk=team).first()
    if row is None:
        raise Http404("There is no such team.")
    return contest, row


def show_teams(
    request: Request, contest: Contest, at: Division | None = None, bound: SizesForm | None = None, status: int = 200
) -> HttpResponse:
    shown = []
    for division in contest.divisions.all():
        initial = {"least": division.team_least or None, "most": division.team_most or None}
        form = bound if bound and at and at.pk == division.pk else SizesForm(initial=initial, prefix_of=division.code)
        shown.append(division_shown(division) | {"form": form})
    return show(request, "teams.html", contest, {"divisions": shown}, status)


def show_team(
    request: Request,
    contest: Contest,
    row: Team,
    status: int = 200,
    name: RenameForm | None = None,
    into: MergeForm | None = None,
) -> HttpResponse:
    shown = team_shown(row)
    forms = {
        "name": name or RenameForm(initial={"name": row.name}),
        "into": into or MergeForm(row, initial={"into": shown["like"]}),
    }
    return show(request, "team.html", contest, shown | forms, status)
