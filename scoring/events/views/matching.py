"""Who is one person in several contests of a day: what is proposed, and what was said."""

from __future__ import annotations

from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.entries.replies import SENT_BEFORE
from contest.models import Event
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence
from scoring.events import matching
from scoring.events.people import MOST_SHOWN, found

LONGEST_SEARCH = 60
MOST_OF_ONE = 50


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def people(request: Request, event: int) -> HttpResponse:
    """People who may be one, with what was said of others; sent, it is said of them, or taken back."""
    row = get_object_or_404(Event, pk=event)
    if request.method != "POST" or "say" not in request.POST:
        return _show(request, row, request.POST.get("find", ""))
    one, other = _keys(request, "one"), _keys(request, "other")
    acts = {
        "one": lambda: matching.say_one(row, [*one, *other], request.who),
        "two": lambda: matching.say_two(row, one, other, request.who),
        "nothing": lambda: matching.take_back(row, one, request.who),
    }
    act = acts.get(request.POST["say"])
    if act is None:
        raise BadRequest(_("This form does not say what to do."))
    try:
        submitted(request, act)
    except NotPossible as problem:
        return _show(request, row, "", 409, as_sentence(problem))
    except SubmissionReused:
        return _show(request, row, "", 409, str(SENT_BEFORE))
    return redirect("event-people", event)


def _keys(request: Request, name: str) -> list[int]:
    sent = request.POST.getlist(name)[:MOST_OF_ONE]
    return [int(key) for key in sent if key.isascii() and key.isdecimal() and len(key) < 16]


def _show(request: Request, event: Event, wanted: str, status: int = 200, trouble: str = "") -> HttpResponse:
    with one_snapshot():
        everybody = matching.people(event)
    near = matching.proposals(everybody)
    shown = (
        found([who for who in everybody if len(who.entries) > 1 or who.said], wanted[:LONGEST_SEARCH]) if wanted else []
    )
    said = [who for who in everybody if who.said]
    context = {
        "event": event,
        "wanted": wanted,
        "near": near[:MOST_SHOWN],
        "more_near": len(near) - MOST_SHOWN,
        "said": said[:MOST_SHOWN],
        "more_said": len(said) - MOST_SHOWN,
        "people": [(who, who.entries[0], who.entries[1:]) for who in shown[:MOST_SHOWN]],
        "trouble": trouble,
    }
    response = render(request, "scoring/events/people.html", context, status=status)
    response.headers["Cache-Control"] = "private, no-store"
    return response
