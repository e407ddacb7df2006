"""Contests and practices put into a season: brought, held against the members, confirmed; and taken out."""

from __future__ import annotations

from uuid import UUID, uuid4

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from contest.book import Problem
from contest.models import BroughtFile, Practice
from contest.uploads.book_problems import keep_problems, shown_problems
from contest.uploads.brought import NotNow, bring
from contest.uploads.files import problems_of
from contest.web.requests import Request
from scoring.models import Season, SeasonSource
from scoring.season import changing
from scoring.season.arriving import Arrived, from_practice
from scoring.season.bringing import no_longer, putting_into, waiting
from scoring.season.forms import BookForm, WhoForm
from scoring.season.matching import proposals, source_before
from scoring.season.views.seasons import gone, saved, season_or_404


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def new_book(request: Request, season: int) -> HttpResponse:
    """Bring a contest book; nothing of it is kept before somebody said who of it is a member."""
    row = season_or_404(season)
    is_sent = request.method == "POST"
    form = BookForm(request.POST, request.FILES) if is_sent else BookForm()
    problems: tuple[Problem, ...] = ()
    if is_sent and form.is_valid():
        try:
            brought = _bring(row, form)
            if brought.state != brought.State.FAILED:
                return redirect(brought)
            form.add_error("file", brought.said_trouble)
            problems = problems_of(brought)
            keep_problems(request.user.pk, brought.name, problems)
        except NotNow as reason:
            form.add_error("file", str(reason))
    context = {"season": row, "form": form, "problems": shown_problems(problems)}
    return render(request, "scoring/season/book.html", context, status=422 if is_sent else 200)


def _bring(row: Season, form: BookForm) -> BroughtFile:
    back = resolve_url("season-book-new", row.pk)
    return bring(uuid4(), "book", form.cleaned_data["file"], None, back, putting_into(row))


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def book(request: Request, season: int, key: UUID) -> HttpResponse:
    """Who of a book that was brought is which member."""
    row = season_or_404(season)
    arrived = waiting(row, key)
    if arrived is None:
        return redirect("season-book-new", season)  # long ago, or saved; nothing waits here
    reply, is_saved = _who(request, row, arrived, counts=True)
    if is_saved:
        no_longer(row, key)  # the names of all who were there
    return reply


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def practice(request: Request, season: int, practice: int) -> HttpResponse:
    """Who of a practice is which member."""
    row = season_or_404(season)
    arrived = from_practice(get_object_or_404(Practice, pk=practice))
    return _who(request, row, arrived, counts=False)[0]


def _who(request: Request, row: Season, arrived: Arrived, counts: bool) -> tuple[HttpResponse, bool]:
    before = source_before(row.pk, arrived)
    proposed = proposals(row.members.all(), arrived, before)
    begin = {
        "held_on": before.held_on if before else arrived.held_on,
        "counts": before.counts if before else counts,
    }
    form = WhoForm(arrived, proposed, request.POST if request.method == "POST" else None, initial=begin)

    def work() -> int:
        typed = form.cleaned_data
        return changing.put_in(row, arrived, typed["held_on"], typed["counts"], form.who, request.who).pk

    if saved(request, form, work):
        return redirect("season", row.pk), True
    context = {
        "season": row,
        "arrived": arrived,
        "before": before,
        "is_same": before is not None and before.digest == arrived.digest,
        "form": form,
    }
    status = 422 if form.is_bound else 200
    return render(request, "scoring/season/who.html", context, status=status), False


@require_POST
def take_out(request: Request, season: int, source: int) -> HttpResponse:
    """Take a contest or practice out again, with what members did in it."""
    row = get_object_or_404(SeasonSource, pk=source, season=season)
    gone(request, lambda: changing.take_out(row, request.who))
    return redirect("season", season)
