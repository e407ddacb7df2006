"""The list of entries, and one entry."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from functools import partial
from typing import Any

from django.core.exceptions import BadRequest
from django.http import Http404, HttpResponse, HttpResponseNotAllowed
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import contest_for
from contest.entries import people
from contest.entries.accommodating import Needs, accommodate, needs_of_one
from contest.entries.arrivals import never_came
from contest.entries.entered import has_sheets, out_of_place, read_digest, values_of
from contest.entries.forms import (
    DetailsForm,
    IneligibleForm,
    MoveForm,
    NeedsForm,
    SetsForm,
    SubstituteForm,
    UnrankedForm,
    WalkUpForm,
    details_of,
)
from contest.entries.pages import entries_page, origins_page, set_aside_shown
from contest.entries.plan import Values, differences
from contest.entries.replies import Trouble, attempt, done, show
from contest.entries.sets import set_sets
from contest.models import Contest, Contestant, Team
from contest.web.json_text import parsed
from contest.web.requests import Request


@require_http_methods(["GET", "HEAD", "POST"])
def entries(request: Request, pk: int) -> HttpResponse:
    """The list. What is looked for may be a name, so it is sent rather than asked for: nothing changes by it."""
    if request.method == "POST" and "find" not in request.POST:
        return HttpResponseNotAllowed(["GET", "HEAD"])
    contest = contest_for(request, pk)
    page = entries_page(contest, request.GET, request.POST.get("find", "")) | {"never_came": never_came(contest)}
    return show(request, "entries.html", contest, page)


@require_http_methods(["GET", "HEAD", "POST"])
def add(request: Request, pk: int) -> HttpResponse:
    """Enter a walk-up."""
    contest = contest_for(request, pk)
    if not contest.divisions.exists():
        return show(request, "add.html", contest, {"form": None})
    if request.method != "POST":
        form = WalkUpForm(contest, initial={"number": people.suggested_number(contest)})
        return show(request, "add.html", contest, {"form": form, "teams": teams_of(contest)})
    form = WalkUpForm(contest, request.POST)
    status = 422
    if form.is_valid():
        try:
            why = form.cleaned_data["nameless"] if form.asks_why else ""
            late = form.cleaned_data.get("late_note", "")
            key = attempt(request, lambda: people.add_contestant(contest, form.entry(), request.who, why, late).pk)
            text = _("{number} is entered.").format(number=form.cleaned_data["number"])
            return done(request, form.told_of_new_team(text), "entry", pk=pk, contestant=key)
        except Trouble as trouble:
            form.trouble(trouble)
            status = trouble.status
    return show(request, "add.html", contest, {"form": form, "teams": teams_of(contest)}, status)


@require_safe
def origins(request: Request, pk: int) -> HttpResponse:
    """Who came from where."""
    contest = contest_for(request, pk)
    return show(request, "origins.html", contest, origins_page(contest, request.GET))


@require_http_methods(["GET", "HEAD", "POST"])
def person(request: Request, pk: int, contestant: int) -> HttpResponse:
    """One entry; sent, it corrects number, names and group."""
    contest, entrant = entry(request, pk, contestant)
    if request.method != "POST":
        return show_person(request, contest, entrant)
    form = DetailsForm(request.POST)
    shown = shown_to(request)

    def correct() -> int:
        values = form.values(shown.division, shown.team, shown.present)
        return people.correct_entry(entrant, values, request.who, shown).number

    return change(request, contest, entrant, {"details": form}, correct, _("{number} is corrected."))


@require_POST
def move(request: Request, pk: int, contestant: int) -> HttpResponse:
    contest, entrant = entry(request, pk, contestant)
    form = MoveForm(contest, request.POST)
    shown = shown_to(request)

    def work() -> str:
        to = form.cleaned_data
        place = entrant, to["division"], to["team"]
        aside = people.move_contestant(*place, request.who, shown, to["seen"], to["why"])
        text = (
            ngettext(
                "{number} is moved. {count} reading is set aside.",
                "{number} is moved. {count} readings are set aside.",
                aside,
            )
            if aside
            else _("{number} is moved.")
        )
        return form.told_of_new_team(text.format(number=entrant.number, count=aside))

    return change(request, contest, entrant, {"place": form}, work, "{number}")


@require_POST
def substitute(request: Request, pk: int, contestant: int) -> HttpResponse:
    contest, entrant = entry(request, pk, contestant)
    form = SubstituteForm(request.POST)
    shown = shown_to(request)

    def work() -> int:
        new = form.cleaned_data
        first, last, show_name = new["first_name"], new["last_name"], not new["hide_name"]
        return people.substitute(entrant, first, last, request.who, show_name, shown).number

    return change(request, contest, entrant, {"instead": form}, work, _("{number} is another person now."))


@require_POST
def state(request: Request, pk: int, contestant: int) -> HttpResponse:
    """Scratch, un-scratch, or make eligible again: what a button alone says."""
    contest, entrant = entry(request, pk, contestant)
    doings: dict[str, tuple[Callable[..., Contestant], str]] = {
        "scratch": (people.scratch, _("{number} is scratched.")),
        "unscratch": (people.unscratch, _("{number} is present again.")),
        "eligible": (people.make_eligible, _("{number} is eligible again.")),
        "alternate": (partial(people.set_alternate, alternate=True), _("{number} is an alternate now.")),
        "member": (partial(people.set_alternate, alternate=False), _("{number} is a member now.")),
    }
    if request.POST.get("do") not in doings:
        raise BadRequest(_("This form does not say what to do."))
    function, text = doings[request.POST["do"]]
    return change(request, contest, entrant, {}, lambda: function(entrant, by=request.who).number, text)


@require_POST
def ineligible(request: Request, pk: int, contestant: int) -> HttpResponse:
    contest, entrant = entry(request, pk, contestant)
    form = IneligibleForm(request.POST)

    def work() -> int:
        return people.make_ineligible(entrant, form.cleaned_data["reason"], request.who).number

    return change(request, contest, entrant, {"ineligible": form}, work, _("{number} is ineligible."))


@require_POST
def unranked(request: Request, pk: int, contestant: int) -> HttpResponse:
    contest, entrant = entry(request, pk, contestant)
    form = UnrankedForm(request.POST)

    def work() -> int:
        typed = form.cleaned_data
        return people.set_unranked(entrant, typed["unranked"], typed["reason"], request.who).number

    return change(request, contest, entrant, {"unranked": form}, work, _("{number}: saved who is ranked."))


@require_POST
def in_sets(request: Request, pk: int, contestant: int) -> HttpResponse:
    contest, entrant = entry(request, pk, contestant)
    form = SetsForm(contest, request.POST)

    def work() -> int:
        return set_sets(entrant, form.written(), request.who, form.cleaned_data["shown"]).number

    return change(request, contest, entrant, {"in_sets": form}, work, _("{number}: saved the sets of results."))


@require_POST
def remove(request: Request, pk: int, contestant: int) -> HttpResponse:
    contest = contest_for(request, pk)
    entrant = contest.contestants.filter(pk=contestant).first()

    def work() -> int:
        if entrant is None:  # unless this very form removed them before
            raise Http404("There is no such entry.")
        number = entrant.number
        people.remove_contestant(entrant, request.who)
        return number

    try:
        text = _("{number} is removed.").format(number=attempt(request, work))
        return done(request, text, "entries", pk=pk)
    except Trouble as trouble:
        contest, entrant = entry(request, pk, contestant)
        return show_person(request, contest, entrant, 409, trouble=trouble.text)


def entry(request: Request, pk: int, contestant: int) -> tuple[Contest, Contestant]:
    """The contest and one of its contestants. Raises Http404."""
    contest = contest_for(request, pk)
    try:
        return contest, contest.contestants.select_related("contest", "division", "team").get(pk=contestant)
    except Contestant.DoesNotExist:
        raise Http404("There is no such entry.") from None


def change(
    request: Request,
    contest: Contest,
    entrant: Contestant,
    forms: dict[str, Any],
    work: Callable[[], int | str],
    text: str,
) -> HttpResponse:
    """Make one change of one entry and go back to its page; or show what stands in the way."""
    form = next(iter(forms.values()), None)
    if form is not None and not form.is_valid():
        return show_person(request, contest, entrant, 422, **forms)
    try:
        number = attempt(request, work)
        return done(request, text.format(number=number), "entry", pk=contest.pk, contestant=entrant.pk)
    except people.EntryChanged as meanwhile:
        theirs = differences(shown_to(request), meanwhile.theirs)
        _contest, entrant = entry(request, contest.pk, entrant.pk)
        return show_person(request, contest, entrant, 409, theirs=theirs, **forms)
    except Trouble as trouble:
        if form is None:
            _contest, entrant = entry(request, contest.pk, entrant.pk)
            return show_person(request, contest, entrant, 409, trouble=trouble.text)
        form.trouble(trouble)
        return show_person(request, contest, entrant, trouble.status, **forms)


@require_POST
def needs(request: Request, pk: int, contestant: int) -> HttpResponse:
    contest, entrant = entry(request, pk, contestant)
    form = NeedsForm(request.POST)

    def work() -> int:
        accommodate(entrant, Needs(**form.cleaned_data), request.who)
        return entrant.number

    return change(request, contest, entrant, {"needs": form}, work, _("{number}: saved what they need."))


def show_person(
    request: Request, contest: Contest, entrant: Contestant, status: int = 200, **context: Any
) -> HttpResponse:
    values = values_of(entrant)
    page = {
        "person": entrant,
        "shown": json.dumps(asdict(values)),
        "in_sets": SetsForm(contest, sets=values.result_sets) if contest.sets.exists() else None,
        "held": has_sheets(entrant),
        "teams": teams_of(contest),
        "details": DetailsForm(initial=details_of(entrant)),
        "place": MoveForm(contest, initial={"division": entrant.division, "team": entrant.team or ""}),
        "seen": read_digest(entrant),
        "out_of_place": out_of_place(entrant),
        "aside": set_aside_shown(entrant),
        "instead": SubstituteForm(),
        "needs": NeedsForm(initial=asdict(needs_of_one(entrant))),
        "ineligible": IneligibleForm(initial={"reason": entrant.ineligible_reason}),
        "unranked": UnrankedForm(initial={"unranked": entrant.unranked, "reason": entrant.unranked_reason}),
    }
    return show(request, "person.html", contest, page | context, status)


def shown_to(request: Request) -> Values:
    """What the entry said on the page that was sent. Raises BadRequest where our own page did not send it."""
    try:
        return Values(**parsed(request.POST.get("shown", "")))
    except (ValueError, TypeError):
        raise BadRequest(_("This form does not say what it changes. Load its page again.")) from None


def teams_of(contest: Contest) -> list[str]:
    names = Team.objects.filter(division__contest=contest).order_by("name").values_list("name", flat=True)
    return list(dict.fromkeys(names))
