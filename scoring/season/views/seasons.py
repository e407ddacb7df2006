"""Seasons: made, looked at, changed, deleted; their members."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.models import Practice
from contest.practice.showing import Step
from contest.web.bounds import part_of
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence
from scoring.models import Season, SeasonMember
from scoring.prints.choice import PAPERS
from scoring.season import changing
from scoring.season.forms import MemberForm, SeasonForm, SettingsForm
from scoring.season.paper import pdf_for_parent
from scoring.season.showing import shown_member, shown_season

MOST_LISTED = 50
MOST_PRACTICES = 20


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def seasons(request: Request) -> HttpResponse:
    """The seasons there are, and the form that makes another."""
    form = SeasonForm(request.POST if request.method == "POST" else None)
    pk = saved(request, form, lambda: changing.make_season(form.cleaned_data["name"], request.who).pk)
    if pk is not None:
        return redirect("season", pk)
    context = {"form": form, "seasons": part_of(Season.objects.all(), MOST_LISTED, request.GET)}
    return render(request, "scoring/season/seasons.html", context, status=422 if form.is_bound else 200)


@never_cache
@require_safe
def season(request: Request, season: int) -> HttpResponse:
    """The members of a season, what it is made of, and the team that the rule picks."""
    with one_snapshot():
        row = season_or_404(season)
        context = {**shown_season(row), "practices": _practices()}
    return render(request, "scoring/season/season.html", context)


def _practices() -> list[Practice]:
    """Those that can be put in: the newest, of which scores were shown."""
    rows = Practice.objects.filter(classes__step__gte=Step.SCORES).distinct().prefetch_related("classes")
    return list(rows[:MOST_PRACTICES])


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: Request, season: int) -> HttpResponse:
    row = season_or_404(season)
    begin = {name: getattr(row, name) for name in ("name", "best", "last", "size")}
    form = SettingsForm(request.POST if request.method == "POST" else None, initial=begin)
    if saved(request, form, lambda: changing.change_season(row, **form.cleaned_data) or row.pk):
        return redirect("season", season)
    status = 422 if form.is_bound else 200
    return render(request, "scoring/season/settings.html", {"season": row, "form": form}, status=status)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def delete(request: Request, season: int) -> HttpResponse:
    """Say what goes; sent, it is gone."""
    row = season_or_404(season)
    if request.method == "POST" and gone(request, lambda: changing.delete_season(row, request.who)):
        return redirect("seasons")
    return render(request, "scoring/season/delete.html", {"season": row})


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def add_member(request: Request, season: int) -> HttpResponse:
    """Add members, one after another."""
    row = season_or_404(season)
    form = MemberForm(request.POST if request.method == "POST" else None, initial={"number": _next_number(row)})
    if saved(request, form, lambda: changing.add_member(row, **form.cleaned_data, by=request.who).pk):
        return redirect("season-member-add", season)
    context = {"season": row, "form": form, "members": row.members.all()}
    return render(request, "scoring/season/member_form.html", context, status=422 if form.is_bound else 200)


def _next_number(row: Season) -> int:
    last = row.members.last()
    return last.number + 1 if last else 1


@never_cache
@require_safe
def member(request: Request, season: int, season_member: int) -> HttpResponse:
    """All that the season says of a member."""
    with one_snapshot():
        row = member_or_404(season, season_member)
        context = shown_member(row)
    return render(request, "scoring/season/member.html", context)


@never_cache
@require_safe
def paper(request: Request, season: int, season_member: int, paper: str) -> HttpResponse:
    """The page for a parent, to be printed."""
    row = member_or_404(season, season_member)
    if paper not in PAPERS:
        raise Http404("There is no such paper.")
    try:
        made = pdf_for_parent(row, paper)
    except NotPossible as problem:
        context = {**shown_member(row), "trouble": as_sentence(problem)}
        return render(request, "scoring/season/member.html", context, status=409)
    headers = {"Content-Disposition": f'inline; filename="season-member-{row.number}.pdf"'}
    return HttpResponse(made, content_type="application/pdf", headers=headers)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def change_member(request: Request, season: int, season_member: int) -> HttpResponse:
    row = member_or_404(season, season_member)
    begin = {"number": row.number, "name": row.name, "consents": row.consent_at is not None}
    form = MemberForm(request.POST if request.method == "POST" else None, initial=begin)
    work = lambda: changing.change_member(row, **form.cleaned_data, by=request.who) or row.pk  # noqa: E731
    if saved(request, form, work):
        return redirect("season-member", season, season_member)
    context = {"season": row.season, "member": row, "form": form}
    return render(request, "scoring/season/member_form.html", context, status=422 if form.is_bound else 200)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def delete_member(request: Request, season: int, season_member: int) -> HttpResponse:
    """Say what goes; sent, it is gone."""
    row = member_or_404(season, season_member)
    if request.method == "POST" and gone(request, lambda: changing.delete_member(row, request.who)):
        return redirect("season", season)
    context = {"season": row.season, "member": row, "count": row.entries.count()}
    return render(request, "scoring/season/delete_member.html", context)


def saved(request: Request, form: forms.Form, work: Callable[[], Any]) -> Any:
    """What came of the change that a form asks for; None where it was not made, and the form says why."""
    try:
        if form.is_bound and form.is_valid():
            return submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error(None, as_sentence(problem))
    return None


def gone(request: Request, work: Callable[[], None]) -> bool:
    """Whether something is deleted now, by this press or by one before."""
    try:
        submitted(request, work)
    except NotPossible:
        return True
    except SubmissionReused:
        return False
    return True


def season_or_404(pk: int) -> Season:
    return get_object_or_404(Season, pk=pk)


def member_or_404(season: int, pk: int) -> SeasonMember:
    return get_object_or_404(SeasonMember.objects.select_related("season"), pk=pk, season=season)
