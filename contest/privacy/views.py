"""The page on which a contest is made anonymous: the superintendent's alone."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from contest.access import contest_for
from contest.bin.keeping import check_name
from contest.privacy.anonymising import anonymise, what_goes, work_ahead
from contest.setup.forms import DeleteForm
from contest.setup.saving import SAVED, saved
from contest.web.requests import Request


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def make_anonymous(request: Request, pk: int) -> HttpResponse:
    """Say what goes and ask for the contest's name, then take every name of a person out of it."""
    contest = contest_for(request, pk)
    form = DeleteForm(request.POST or None)
    status = 200

    def work(values: dict[str, Any]) -> None:
        check_name(contest, values["name"])
        anonymise(contest, request.who, ahead)

    if request.method == "POST":
        ahead = work_ahead(contest)
        status, _ = saved(request, form, work)
        if status == SAVED:
            return redirect("setup", contest.pk)
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "form": form,
        "goes": what_goes(contest),
        "is_released": contest.releases.filter(withdrawn_at=None).exists(),
    }
    return render(request, "contest/privacy/anonymise.html", context, status=status)
