"""The superintendent's pages of results: release, corrections, keys, protests, links and files."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.helpers.addresses import reach
from contest.models import Contest
from contest.records.tallying import tallied_exactly
from contest.shortcuts import load_contest
from contest.trail import sentence
from contest.trail.noting import note_fetched
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.board.queue import lists_of
from scoring.core.explain import as_sentence
from scoring.models import Protest, Release, TakeHomeLink
from scoring.results import critique, links, protests
from scoring.results.downloads import CSV_ZIP, XLSX, csv_zip, file_name, workbook
from scoring.results.forms import (
    REASON,
    AcceptForm,
    CorrectForm,
    OutcomeForm,
    ProtestForm,
    ReleaseForm,
    ShowKeyForm,
    WindowForm,
    WithdrawForm,
)
from scoring.results.pages import fingerprint, results_page
from scoring.results.release import (
    NotAccepted,
    Overtaken,
    announce_correction,
    earlier_reasons,
    release_results,
    still_to_accept,
    withdraw_results,
)
from scoring.results.weights import lacking, weighed
from scoring.standings.asking import LONGEST_SEARCH

DONE = {
    "released": gettext_noop("The results are released."),
    "corrected": gettext_noop("The correction is announced."),
    "withdrawn": gettext_noop("The results are withdrawn. Nobody but you sees a total."),
    "window": gettext_noop("Protests are taken."),
    "final": gettext_noop("No more protests are taken: the results are final."),
    "noted": gettext_noop("The protest is noted."),
    "decided": gettext_noop("The protest is decided."),
    "shown": gettext_noop("The key is shown in public."),
    "hidden": gettext_noop("The key is no longer shown."),
}
HANDOUTS_A_PAGE = 24
"""A square code takes the server some milliseconds."""

REUSED = gettext_noop("This form was sent before with something else in it. Look again, then send it once more.")
CHANGED = gettext_noop("What is open has changed since you looked. Look at the list again.")


@require_safe
def results(request: Request, pk: int) -> HttpResponse:
    """What stands between the contest and its results; afterwards, what changed since they were announced."""
    return _show(request, pk, done=_(DONE[done]) if (done := request.GET.get("done", "")) in DONE else "")


@require_http_methods(["GET", "HEAD", "POST"])
def before_release(request: Request, pk: int) -> HttpResponse:
    """What becomes public where, and which awards come first; a GET goes back to the checklist."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return redirect("results", pk)
    form = AcceptForm(request.POST)
    _contest, shown = load_contest(request, pk)
    if lacking(still_to_accept(contest, shown), form.accepted):
        return _not_accepted(request, contest, form, "release")
    return _before(request, contest, ReleaseForm(**_lists(contest)))


@require_POST
def release(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = ReleaseForm(request.POST, **_lists(contest))
    if not form.is_valid():
        return _before(request, contest, form, 422)
    queue, places = form.queue, form.cleaned_data["places"] or 1

    def work() -> Any:
        return release_results(contest, request.who, form.accepted, queue, places)

    return _announce(request, contest, form, "released", work)


@require_POST
def correct(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = CorrectForm(request.POST)
    if not form.is_valid():
        return _show(request, pk, 422, correct=form)
    values = form.cleaned_data

    def work() -> Any:
        return announce_correction(contest, request.who, values["reason"], values["differences"], form.accepted)

    return _announce(request, contest, form, "corrected", work)


@require_POST
def withdraw(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = WithdrawForm(request.POST)

    def work(values: dict[str, Any]) -> None:
        withdraw_results(contest, request.who, values["reason"])

    return _change(request, pk, form, work, "withdrawn", "reason", withdraw=form)


def _announce(request: Request, contest: Contest, form: AcceptForm, done: str, work: Callable[[], Any]) -> HttpResponse:
    """Release or correct: 422 where a line is not accepted, 409 where there are other lines than were seen."""
    place = "correct" if isinstance(form, CorrectForm) else "release"
    try:
        submitted(request, lambda: work().version)
    except NotAccepted:
        return _not_accepted(request, contest, form, place)
    except Overtaken as problem:
        return _show(request, contest.pk, 409, trouble=_sentence(problem), **{place: form})
    except (NotPossible, SubmissionReused) as problem:
        return _show(request, contest.pk, 409, trouble=_sentence(problem), **{place: form})
    return _back(contest, done)


def _not_accepted(request: Request, contest: Contest, form: AcceptForm, place: str) -> HttpResponse:
    _contest, shown = load_contest(request, contest.pk)
    same = form.data.get("shown") == fingerprint(still_to_accept(contest, shown))
    left = _("Mend every line that is left; or type why it does not matter, or tick that you have looked at it.")
    form.add_error("accept", left if same else _(CHANGED))
    return _show(request, contest.pk, 422 if same else 409, **{place: form})


def _lists(contest: Contest) -> dict[str, Any]:
    return {"lists": lists_of(contest), "queued": contest.award_lists.exists()}


def _before(request: Request, contest: Contest, form: ReleaseForm, status: int = 200) -> HttpResponse:
    """The page before a release; what was said to the checklist is carried along in it."""
    accepted = AcceptForm(request.POST)
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "form": form,
        "base": reach(request, contest).base,
        "queued": contest.award_lists.count(),
        "reasons": sum(1 for reason in accepted.accepted.values() if reason),
        "carried": [(name, value) for name, values in request.POST.lists() for value in values if _is_carried(name)],
    }
    response = render(request, "scoring/results/before.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _is_carried(name: str) -> bool:
    return name in ("shown", "accept") or name.startswith(REASON)


@require_POST
def show_key(request: Request, pk: int, number: int) -> HttpResponse:
    """Show a class's key in public, for the critique."""
    judged = _class(request, pk, number)
    form = ShowKeyForm(request.POST)

    def work(values: dict[str, Any]) -> None:
        critique.release_key(judged, request.who, values["override"])

    return _change(request, pk, form, work, "shown", "override", key=number)


@require_POST
def hide_key(request: Request, pk: int, number: int) -> HttpResponse:
    judged = _class(request, pk, number)
    return _change(
        request, pk, forms.Form(request.POST), lambda _values: critique.withdraw_key(judged, request.who), "hidden"
    )


@require_POST
def take_protests(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = WindowForm(request.POST)

    def work(values: dict[str, Any]) -> None:
        protests.take_protests(contest, request.who, values["deadline"], values["note"])

    return _change(request, pk, form, work, "window", "deadline", window_form=form)


@require_POST
def close_protests(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)

    def work(_given: dict[str, Any]) -> None:
        protests.close_protests(contest, request.who)

    return _change(request, pk, forms.Form(request.POST), work, "final")


@require_POST
def note_protest(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = ProtestForm(request.POST)

    def work(values: dict[str, Any]) -> None:
        protests.note_protest(contest, request.who, values["by"], values["text"])

    return _change(request, pk, form, work, "noted", "text", protest_form=form)


@require_POST
def decide_protest(request: Request, pk: int, protest: int) -> HttpResponse:
    contest = contest_for(request, pk)
    row = get_object_or_404(Protest.objects.select_related("contest"), pk=protest, contest=contest)
    form = OutcomeForm(request.POST)

    def work(values: dict[str, Any]) -> None:
        protests.decide_protest(row, request.who, values["outcome"])

    return _change(request, pk, form, work, "decided", "outcome", outcome_form=form, deciding=protest)


@require_http_methods(["GET", "HEAD", "POST"])
def take_home_links(request: Request, pk: int) -> HttpResponse:
    """The links to hand out, to be printed; a POST makes those that are missing, or withdraws all of them."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return _links(request, contest)
    change = links.withdraw_all if request.POST.get("act") == "withdraw" else links.make_links
    return _links_change(request, contest, lambda: change(contest, request.who))


@require_POST
def change_link(request: Request, pk: int, link: int) -> HttpResponse:
    """Make one link anew, or withdraw it."""
    contest = contest_for(request, pk)
    rows = TakeHomeLink.objects.select_related("contest", "team", "contestant")
    row = get_object_or_404(rows, pk=link, contest=contest)

    def work() -> None:
        if request.POST.get("act") == "withdraw":
            links.withdraw_link(row, request.who)
        else:
            links.renew_link(row, request.who)

    return _links_change(request, contest, work)


@require_safe
def download(request: Request, pk: int, ending: str) -> HttpResponse:
    """All results as they stand, whether or not they are announced."""
    contest, shown = load_contest(request, pk)
    kinds = {"zip": (CSV_ZIP, csv_zip), "xlsx": (XLSX, workbook)}
    if ending not in kinds:
        raise Http404("There is no such file.")
    content_type, make = kinds[ending]
    response = HttpResponse(make(shown.record, shown.result), content_type=content_type)
    note_fetched(request, sentence("results_fetched", ending=ending), contest)
    response.headers["Content-Disposition"] = f'attachment; filename="{file_name(shown.record, ending)}"'
    response.headers["Cache-Control"] = "no-store"
    return response


def _show(request: Request, pk: int, status: int = 200, **extra: Any) -> HttpResponse:
    with one_snapshot():
        contest = contest_for(request, pk)
        shown = tallied_exactly(contest)
        page = results_page(contest, shown, request.GET)
    context = {
        "contest": contest,
        "rules": shown.record.rules,
        "revision": shown.revision,
        "release": AcceptForm(),
        "correct": CorrectForm(),
        **page,
        **extra,
    }
    form = context["correct" if page["announced"] else "release"]
    context["weighed"] = weighed(page["items"], form, earlier_reasons(contest, page["items"]))
    response = render(request, "scoring/results/results.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _change(
    request: Request,
    pk: int,
    form: forms.Form,
    work: Callable[[dict[str, Any]], Any],
    done: str,
    field: str | None = None,
    **extra: Any,
) -> HttpResponse:
    """Make one change, and say beside `field` why it cannot be made."""
    contest = contest_for(request, pk)
    if not form.is_valid():
        return _show(request, pk, 422, failed=form, **extra)
    try:
        submitted(request, lambda: work(form.cleaned_data) and None)
    except (NotPossible, SubmissionReused) as problem:
        if field:
            form.add_error(field, _sentence(problem))
            return _show(request, pk, 422, failed=form, **extra)
        return _show(request, pk, 409, trouble=_sentence(problem), **extra)
    return _back(contest, done)


def _links(request: Request, contest: Contest, status: int = 200, trouble: str = "") -> HttpResponse:
    base = contest.public_address or reach(request, contest).base
    asked = request.POST if request.method == "POST" else request.GET
    wanted = asked.get("find", "")[:LONGEST_SEARCH].strip()
    rows = links.links_of(contest, wanted)
    page = Paginator(rows, HANDOUTS_A_PAGE).get_page(asked.get("page"))
    made = [links.handout(link, base) for link in page] if base else []
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "teams": [handout for handout in made if handout.is_team],
        "people": [handout for handout in made if not handout.is_team],
        "page": page,
        "wanted": wanted,
        "has_links": bool(rows) or contest.take_home_links.filter(withdrawn_at=None).exists(),
        "is_released": Release.standing(contest).exists(),
        "base": base,
        "trouble": trouble,
    }
    response = render(request, "scoring/results/links.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _links_change(request: Request, contest: Contest, work: Callable[[], Any]) -> HttpResponse:
    try:
        submitted(request, lambda: work() and None)
    except (NotPossible, SubmissionReused) as problem:
        return _links(request, contest, 409, _sentence(problem))
    where = {name: request.POST[name] for name in ("find", "page") if request.POST.get(name)}
    return redirect(resolve_url("results-links", contest.pk) + (f"?{urlencode(where)}" if where else ""))


def _class(request: Request, pk: int, number: int) -> Any:
    contest = contest_for(request, pk)
    return get_object_or_404(contest.classes.select_related("contest"), number=number, places=True)


def _back(contest: Contest, done: str) -> HttpResponse:
    return redirect(f"{resolve_url('results', contest.pk)}?done={done}")


def _sentence(problem: Exception) -> str:
    if isinstance(problem, SubmissionReused):
        return _(REUSED)
    return as_sentence(problem)
