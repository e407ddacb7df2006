"""The page of the bin: the superintendent's alone."""

from __future__ import annotations

from datetime import timedelta
from math import ceil
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.bin.emptying import empty_contest, empty_old
from contest.bin.keeping import KEPT, restore_contest, what_goes
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import Contest
from contest.models.organisations import within_reach
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence

DAY = timedelta(days=1)


@never_cache
@require_safe
def contents(request: Request) -> HttpResponse:
    """What lies in the bin, and for how long yet. What has lain there long enough goes first."""
    empty_old()
    return _show(request)


@require_POST
def restore(request: Request, pk: int) -> HttpResponse:
    contest = _find(pk)
    try:
        submitted(request, lambda: restore_contest(contest, request.who))
    except (NotPossible, SubmissionReused) as reason:
        return _show(request, 409, trouble=f"{contest.name}: {reason}.")
    return redirect("contest", pk)


@require_POST
def empty(request: Request, pk: int) -> HttpResponse:
    """Delete one for good, if its name was typed; typed wrongly, it stays in its field."""
    contest = within_reach(Contest.every.all()).filter(pk=pk, deleted_at__isnull=False).first()
    if contest is None:
        return redirect("bin")  # pressed twice: it is gone already
    name = request.POST.get("name", "")
    try:
        empty_contest(contest, name, request.who)
    except WrongValue as wrong:
        return _show(request, 422, wrong=pk, typed=name, why=as_sentence(wrong))
    return redirect("bin")


def _find(pk: int) -> Contest:
    contest = within_reach(Contest.every.all()).filter(pk=pk, loading_at=None).first()
    if contest is None:
        raise Http404("There is no such contest in the bin.")
    return contest


def _days(number: int) -> str:
    return ngettext("{count} day", "{count} days", number).format(count=number)


def _show(request: Request, status: int = 200, **context: Any) -> HttpResponse:
    now = timezone.now()
    deleted = within_reach(Contest.every.all()).exclude(deleted_at=None).filter(emptied_at=None).order_by("-deleted_at")
    rows = [
        {
            "contest": contest,
            "goes": what_goes(contest),
            "left": _days(max(ceil((contest.deleted_at + KEPT - now) / DAY), 0)),
        }
        for contest in deleted
        if contest.deleted_at
    ]
    return render(request, "contest/bin/bin.html", {"rows": rows, "days": KEPT.days, **context}, status=status)
