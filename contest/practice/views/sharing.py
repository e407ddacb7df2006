"""A practice saved to a file, and opened from one."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.text import slugify
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from contest.book import Problem
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import BroughtFile
from contest.practice.bringing import making_a_practice
from contest.practice.forms import OpenForm
from contest.practice.sharing import practice_file
from contest.practice.views.coach import page, practice_or_404
from contest.uploads.book_problems import keep_problems, shown_problems
from contest.uploads.brought import NotNow, bring
from contest.uploads.files import problems_of
from contest.web.requests import Request
from contest.web.submissions import content_of, outcome_before, submission_of


@never_cache
@require_safe
def save(request: Request, practice: int) -> HttpResponse:
    """The practice as a file for another coach."""
    row = practice_or_404(practice)
    try:
        written = practice_file(row)
    except NotPossible as problem:
        return page(request, row, trouble=str(problem), status=409)
    first = row.classes.all()[0]
    name = f"{slugify(first.name)[:60].strip('-') or 'practice'}.zip"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(written, content_type="application/zip", headers=headers)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def open_file(request: Request) -> HttpResponse:
    """Make a practice of a file that another coach saved."""
    is_sent = request.method == "POST"
    form = OpenForm(request.POST, request.FILES) if is_sent else OpenForm(initial={"keeps": ""})
    problems: tuple[Problem, ...] = ()
    if is_sent and form.is_valid():
        try:
            brought = _bring(request, form.cleaned_data)
            if isinstance(brought, str):
                return redirect(brought)
            if brought.state != brought.State.FAILED:
                return redirect(brought)
            form.add_error("file", brought.said_trouble)
            problems = problems_of(brought)
            keep_problems(request.user.pk, brought.name, problems)
        except (NotNow, SubmissionReused) as reason:
            form.add_error("file", str(reason))
    context = {"form": form, "problems": shown_problems(problems)}
    return render(request, "contest/practice/open.html", context, status=422 if is_sent else 200)


def _bring(request: Request, typed: dict[str, Any]) -> BroughtFile | str:
    """The file on its way, or the address of what was made of it when the form was sent before."""
    if made := outcome_before(request):
        return str(made)
    key, content, purpose = submission_of(request), content_of(request), making_a_practice(typed["keeps"], request.who)
    return bring(key, "practice", typed["file"], content, resolve_url("practice-open"), purpose)
