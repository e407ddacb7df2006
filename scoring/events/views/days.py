"""Days of several contests: the superintendent's pages, and the sweepstakes as everybody reads them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from django.core.exceptions import BadRequest
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import open_to_all
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.entries.across import people_of
from contest.entries.replies import SENT_BEFORE
from contest.models import Contest, Event
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence
from scoring.events import changing
from scoring.events.clashes import clashes_of
from scoring.events.clubs import call_alike, call_as_before, called_alike, nearly_the_same
from scoring.events.forms import EventForm
from scoring.events.people import MOST_SHOWN, arrive, found
from scoring.events.showing import shown_event
from scoring.events.tables import rule_in_words, tables

JUST_IN = "event-just-in"
MOST_TOGETHER = 200
LONGEST_SEARCH = 60
ACTS = {"release": changing.release_event, "withdraw": changing.withdraw_event, "delete": changing.delete_event}


@require_safe
def events(request: Request) -> HttpResponse:
    rows = Event.objects.prefetch_related("places__contest")
    return render(request, "scoring/events/events.html", {"events": rows})


@require_http_methods(["GET", "HEAD", "POST"])
def new_event(request: Request) -> HttpResponse:
    return _edit(request, Event())


@require_http_methods(["GET", "HEAD", "POST"])
def change_event(request: Request, event: int) -> HttpResponse:
    return _edit(request, get_object_or_404(Event, pk=event))


@never_cache
@require_safe
def event_page(request: Request, event: int) -> HttpResponse:
    """The contests of the day and the tables as they stand, announced or not."""
    return _show(request, event)


@require_POST
def act(request: Request, event: int) -> HttpResponse:
    """Release, withdraw or delete: what a button alone says."""
    row = get_object_or_404(Event, pk=event)
    doing = ACTS.get(request.POST.get("act", ""))
    if doing is None:
        raise BadRequest(_("This form does not say what to do."))
    try:
        submitted(request, lambda: doing(row, request.who))
    except NotPossible as problem:
        return _show(request, event, 409, as_sentence(problem))
    except SubmissionReused:
        return _show(request, event, 409, str(SENT_BEFORE))
    return redirect("events") if doing is changing.delete_event else redirect("event", event)


@require_http_methods(["GET", "HEAD", "POST"])
def day_check_in(request: Request, event: int) -> HttpResponse:
    """Who is expected in any contest of the day; sent, they have arrived in all of theirs, or have not after all."""
    contests = get_object_or_404(Event, pk=event).contests()
    keys = [int(key) for key in request.POST.getlist("entry")[:MOST_TOGETHER] if key.isascii() and key.isdecimal()]
    if not keys:
        return _show_check_in(request, event, request.POST.get("find", ""))
    try:
        submitted(request, lambda: arrive(contests, keys, request.who, undo="undo" in request.POST))
    except NotPossible as problem:
        return _show_check_in(request, event, "", 409, as_sentence(problem))
    except SubmissionReused:
        return _show_check_in(request, event, "", 409, str(SENT_BEFORE))
    request.session[JUST_IN] = keys
    return redirect("event-check-in", event)


@require_POST
def same_club(request: Request, event: int) -> HttpResponse:
    """Call a club in one contest as another contest of the day calls it, or as before again."""
    act = _about_clubs(get_object_or_404(Event, pk=event).contests(), request)
    if act is None:
        return _show(request, event, 409, _("That club is called otherwise by now. Look again."))
    try:
        submitted(request, act)
    except NotPossible as problem:
        return _show(request, event, 409, as_sentence(problem))
    except SubmissionReused:
        return _show(request, event, 409, str(SENT_BEFORE))
    return redirect("event", event)


def _about_clubs(contests: list[Contest], request: Request) -> Callable[[], None] | None:
    """What a button of the page of a day says of its clubs; None where it says nothing that can be done any more."""
    if "back" in request.POST:
        alike = next((one for one in called_alike(contests) if str(one.entry.pk) == request.POST["back"]), None)
        return alike and partial(call_as_before, alike, request.who)
    for same in nearly_the_same(contests):
        for team, other in ((same.team, same.other), (same.other, same.team)):
            if f"{team.pk}-{other.pk}" == request.POST.get("same", ""):
                return partial(call_alike, team, other.name, request.who)
    return None


def _show_check_in(request: Request, pk: int, wanted: str, status: int = 200, trouble: str = "") -> HttpResponse:
    just_in = set(request.session.pop(JUST_IN, []))
    with one_snapshot():
        row = get_object_or_404(Event, pk=pk)
        everybody = people_of(row.contests())
    shown = found(everybody, wanted[:LONGEST_SEARCH])
    context = {
        "event": row,
        "wanted": wanted,
        "just_in": [who for who in everybody if just_in & {entry.pk for entry in who.entries}],
        "people": shown[:MOST_SHOWN],
        "more": len(shown) - MOST_SHOWN,
        "expected": sum(bool(who.expected) for who in everybody),
        "trouble": trouble,
    }
    response = render(request, "scoring/events/check_in.html", context, status=status)
    response.headers["Cache-Control"] = "private, no-store"
    return response


@open_to_all
@never_cache
@require_safe
def public_event(request: Request, event: int) -> HttpResponse:
    """The sweepstakes, once they and every contest's own results are released."""
    with one_snapshot():
        row = get_object_or_404(Event, pk=event)
        shown = shown_event(row)
    context = (shown._asdict() if shown else {}) | {"event": row, "announced": shown is not None}
    return render(request, "scoring/events/public.html", context)


def _show(request: Request, pk: int, status: int = 200, trouble: str = "") -> HttpResponse:
    with one_snapshot():
        row = get_object_or_404(Event, pk=pk)
        contests = row.contests()
        rule = changing.rule_of(row, contests)
        made = tables(changing.as_it_stands(contests), rule)
        waiting = changing.not_public(row)
        same, alike = nearly_the_same(contests), called_alike(contests)
        at_once = clashes_of(contests, people_of(contests))
    context = {
        "event": row,
        "released_at": localtime(row.released_at) if row.released_at else None,
        "contests": contests,
        "tables": made,
        "rule": rule_in_words(rule, list(map(str, contests))),
        "waiting": waiting,
        "same": same[:MOST_SHOWN],
        "alike": alike,
        "clashes": at_once[:MOST_SHOWN],
        "more_clashes": len(at_once) - MOST_SHOWN,
        "trouble": trouble,
    }
    response = render(request, "scoring/events/event.html", context, status=status)
    response.headers["Cache-Control"] = "private, no-store"
    return response


def _edit(request: Request, event: Event) -> HttpResponse:
    named = event.places.filter(parts_ties=True).first() if event.pk else None
    initial = {name: getattr(event, name) for name in ("name", "held_on", "by", "points", "needs_all")}
    initial |= {"contests": [contest.pk for contest in event.contests()] if event.pk else []}
    initial |= {"parts_ties": named.contest_id if named else None}
    form = EventForm(request.POST if request.method == "POST" else None, initial=initial)
    if form.is_valid():
        said = form.cleaned_data
        for name in ("name", "held_on", "by", "points", "needs_all"):
            setattr(event, name, said[name])
        try:
            made = submitted(
                request, lambda: changing.save_event(event, said["contests"], said["parts_ties"], request.who).pk
            )
        except NotPossible as problem:
            form.add_error("contests", as_sentence(problem))
        except SubmissionReused:
            form.add_error(None, str(SENT_BEFORE))
        else:
            return redirect("event", made)
    status = 422 if request.method == "POST" else 200
    return render(request, "scoring/events/edit.html", {"event": event, "form": form}, status=status)
