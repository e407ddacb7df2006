"""What can be taken back, and taking it back: the superintendent's alone."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.history.taking_back import newest_first, take_back_change
from contest.models import Contest
from contest.trail.entries import named_entries
from contest.trail.sentences import say
from contest.web.requests import Request
from contest.web.submissions import submitted

MOST = 10
SENT_BEFORE = gettext_noop(
    "Nothing was done: this form was sent before with something else in it; look again, then press once more."
)


@never_cache
@require_safe
def changes(request: Request, pk: int) -> HttpResponse:
    """The last changes of the set-up and the entries, each with a button or with what stands in its way."""
    return _show(request, contest_for(request, pk), done=request.GET.get("done", ""))


@require_POST
def take_back(request: Request, pk: int, revision: int) -> HttpResponse:
    contest = contest_for(request, pk)
    entry = contest.trail.select_related("contest").filter(revision=revision).first()
    if entry is None:
        raise Http404("There is no such change.")
    try:
        made = submitted(request, lambda: take_back_change(entry, request.who))
    except NotPossible as reasons:
        stays = _("“{entry}” stays: {reasons}.").format(entry=say(entry.what, entry.values), reasons=reasons)
        return _show(request, contest, 409, trouble=stays)
    except SubmissionReused:
        return _show(request, contest, 409, trouble=_(SENT_BEFORE))
    return redirect(f"{request.path.rpartition(f'{revision}/')[0]}?done={made}")


def _show(request: Request, contest: Contest, status: int = 200, trouble: str = "", done: str = "") -> HttpResponse:
    contest.refresh_from_db()
    entries = newest_first(contest, MOST)
    rows = list(zip(named_entries(entry for entry, _ in entries), (reasons for _, reasons in entries), strict=True))
    is_revision = done.isascii() and done.isdecimal() and len(done) < 19
    made = next(iter(named_entries(contest.trail.filter(revision=done))), None) if is_revision else None
    context: dict[str, Any] = {"rows": rows, "trouble": trouble, "made": made}
    frame = {"contest": contest, "rules": contest, "revision": contest.revision}
    return render(request, "contest/history/changes.html", frame | context, status=status)
