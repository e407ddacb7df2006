"""The pages of the library."""

from __future__ import annotations

from django.core.files.base import ContentFile
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import BroughtFile, Practice
from contest.practice.bringing import making_a_practice
from contest.uploads.brought import NotNow, bring
from contest.web.bounds import part_of
from contest.web.requests import Request
from contest.web.submissions import content_of, outcome_before, submission_of, submitted
from scoring.core.explain import as_sentence
from scoring.library import keeping
from scoring.library.finding import find
from scoring.library.forms import FindForm, KeepForm
from scoring.models import LibraryPractice, Season, SeasonMember
from scoring.season.sheet import SeasonSheets

MOST_LISTED = 30


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def library(request: Request) -> HttpResponse:
    """The practices that are kept, found by words, difficulty or a member; sent, one more is kept."""
    form = KeepForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        typed = form.cleaned_data
        try:
            practice = get_object_or_404(Practice, pk=typed["practice"])
            submitted(request, lambda: keeping.keep(practice, typed["species"], request.who).pk)
            return redirect("library")
        except (NotPossible, SubmissionReused) as problem:
            form.add_error(None, as_sentence(problem))
    return _page(request, form, 422 if form.is_bound else 200)


@require_POST
def open_kept(request: Request, kept: int) -> HttpResponse:
    """Make a new practice of one that is kept, read as a file from another coach would be."""
    row = get_object_or_404(LibraryPractice, pk=kept)
    try:
        if made := outcome_before(request):
            return redirect(str(made))
        brought = _bring(request, row)
    except (NotNow, SubmissionReused) as problem:
        return _page(request, KeepForm(), 409, as_sentence(problem))
    if brought.state == brought.State.FAILED:
        return _page(request, KeepForm(), 409, brought.said_trouble)
    return redirect(brought)


def _bring(request: Request, row: LibraryPractice) -> BroughtFile:
    key, content, purpose = submission_of(request), content_of(request), making_a_practice(False, request.who)
    file = ContentFile(bytes(row.file), "practice.zip")
    return bring(key, "practice", file, content, resolve_url("library"), purpose)


@require_POST
def take_out(request: Request, kept: int) -> HttpResponse:
    row = get_object_or_404(LibraryPractice, pk=kept)
    submitted(request, lambda: keeping.take_out(row, request.who))
    return redirect("library")


def _page(request: Request, form: KeepForm, status: int, trouble: str = "") -> HttpResponse:
    finding = FindForm(request.GET)
    wanted = finding.cleaned_data if finding.is_valid() else {}
    of_ours = SeasonMember.objects.filter(season__in=Season.objects.all()).select_related("season")
    member = of_ours.filter(pk=wanted.get("like") or 0).first()
    placed = SeasonSheets(member.season).of(member).placed if member else None
    found = find(wanted.get("find", ""), wanted.get("order", ""), placed)
    context = {
        "form": form,
        "finding": finding,
        "member": member,
        "found": part_of(found, MOST_LISTED, request.GET),
        "trouble": trouble,
    }
    return render(request, "scoring/library/library.html", context, status=status)
