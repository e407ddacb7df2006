"""Committees: who sits on them, and what they handed in side by side, for the superintendent and the chair alone."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest import outbox
from contest.access import contest_for, open_to
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.committee.handing_in import hand_in
from contest.committee.officials import add_official, remove_official, seat_official
from contest.committee.states import states
from contest.helpers.addresses import reach
from contest.helpers.codes import committee_codes, renew_code
from contest.helpers.pages import way_in
from contest.keys import ReasonWanted, enter_key
from contest.models import CommitteeOfficial, CommitteeSeat, Contest, Duty, JudgingClass
from contest.watch.committee_forms import AgreedForm, NameForm, PlacedForm, SeatsForm
from contest.watch.committee_pages import CommitteeShown, committee_shown
from contest.watch.rendering import page
from contest.watch.views.doubts import problem_text
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, revision_of
from contest.web.submissions import submitted

ROOM = "committee"


@require_safe
def committee(request: Request, pk: int) -> HttpResponse:
    """Who sits on the committees, and how each comes in."""
    return _officials(request, contest_for(request, pk), NameForm())


@require_POST
def add(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = NameForm(request.POST)
    try:
        if form.is_valid():
            added = submitted(request, lambda: add_official(contest, form.cleaned_data["name"], request.who).pk)
            return redirect(reverse("committee", args=[pk]) + f"#official-{added}")
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("name", problem_text(problem))
    return _officials(request, contest, form, 422)


@require_POST
def seats(request: Request, pk: int, judge: int) -> HttpResponse:
    """Say what an official places, and whether they are chair."""
    contest = contest_for(request, pk)
    official = get_object_or_404(contest.committee_officials, pk=judge)
    form = SeatsForm(contest.classes.filter(places=True), request.POST)
    try:
        if form.is_valid():
            values = form.cleaned_data
            submitted(request, lambda: seat_official(official, values["classes"], values["is_chair"], request.who))
            return redirect(reverse("committee", args=[pk]) + f"#official-{judge}")
        trouble = str(next(iter(form.errors.values()))[0])
    except (NotPossible, SubmissionReused) as problem:
        trouble = problem_text(problem)
    return _officials(request, contest, NameForm(), 422, trouble=trouble)


@require_POST
def remove(request: Request, pk: int, judge: int) -> HttpResponse:
    contest = contest_for(request, pk)
    official = get_object_or_404(contest.committee_officials, pk=judge)
    try:
        submitted(request, lambda: remove_official(official, request.who))
    except (NotPossible, SubmissionReused) as problem:
        return _officials(request, contest, NameForm(), 422, trouble=problem_text(problem))
    return redirect("committee", pk)


@require_POST
def code(request: Request, pk: int, judge: int) -> HttpResponse:
    """Give an official another code."""
    contest = contest_for(request, pk)
    official = get_object_or_404(contest.committee_officials, pk=judge)
    submitted(request, lambda: renew_code(contest, Duty.COMMITTEE, request.who, committee_official=official))
    return redirect(reverse("committee", args=[pk]) + f"#official-{judge}")


@open_to(Duty.COMMITTEE)
@require_safe
def side_by_side(request: Request, pk: int, number: int) -> HttpResponse:
    """What the officials of a class handed in, and what they might agree on."""
    contest = contest_for(request, pk)
    shown = _shown_to_chair(request, contest, number)
    version = str(revision_of(pk))
    if same := nothing_new(request, version):
        return same
    if is_poll(request):
        return _page(request, "_side_by_side.html", contest, shown, version=version)
    return _side_by_side(request, contest, shown, _agreed_form(shown))


@open_to(Duty.COMMITTEE)
@require_POST
@outbox.sent_by_outbox
def agree(request: Request, pk: int, number: int) -> HttpResponse:
    """Enter what a committee agreed on as the class's key, which somebody else types once more."""
    contest = contest_for(request, pk)
    shown = _shown_to_chair(request, contest, number)
    form = _agreed_form(shown, request.POST)
    if not form.is_valid():
        return outbox.because(_side_by_side(request, contest, shown, form, 422), form.first_trouble)
    values = form.cleaned_data
    if values["shown"] != shown.fingerprint:
        why = gettext("Somebody has handed in since. Look at it once more.")
        return outbox.because(_side_by_side(request, contest, shown, form, 409, trouble=why), why)

    def work() -> str:
        agreed = list(values["agreed"])
        return enter_key(shown.judged, values["placing"], form.cuts, request.who, values["reason"], agreed).outcome

    try:
        fate = submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("reason" if isinstance(problem, ReasonWanted) else None, problem_text(problem))
        why = problem_text(problem)
        return outbox.because(_side_by_side(request, contest, shown, form, 422, trouble=why), why)
    if request.is_superintendent:
        return redirect("key", pk, number) if fate == "differs" else redirect(_after_key(pk, number))
    return redirect(reverse("committee-mine", args=[pk]) + f"?agreed={number}")


@require_http_methods(["GET", "HEAD", "POST"])
@outbox.sent_by_outbox
def paper(request: Request, pk: int, number: int, judge: int) -> HttpResponse:
    """Type what an official handed in on paper."""
    contest = contest_for(request, pk)
    seats = CommitteeSeat.objects.select_related("official", "judging_class__contest")
    seat = get_object_or_404(seats, judging_class=_class(contest, number), official=judge)
    latest = seat.keys.last()
    animals = seat.judging_class.animals
    begin = PlacedForm.saying(latest.placing, latest.cuts) if latest else {}
    form = PlacedForm(animals, request.POST if request.method == "POST" else None, initial=begin)
    status = 200
    if request.method == "POST":
        status = 422
        try:
            if form.is_valid():
                values = form.cleaned_data
                submitted(
                    request,
                    lambda: hand_in(seat, values["placing"], form.cuts, request.who, True, values["reason"]).version,
                )
                return redirect("committee-class", pk, number)
        except (NotPossible, SubmissionReused) as problem:
            form.add_error("reason" if isinstance(problem, ReasonWanted) else None, problem_text(problem))
    shown = page(
        request,
        "hand_in.html",
        contest,
        status,
        judged=seat.judging_class,
        seat=seat,
        form=form,
        latest=None,
        wants_reason=seat.judging_class.keys.exists(),
        outbox=outbox.outbox_of(request, contest, ROOM),
        folder="committee",
    )
    return outbox.because(shown, form.first_trouble)


def _officials(
    request: Request, contest: Contest, form: NameForm, status: int = 200, trouble: str = ""
) -> HttpResponse:
    base = reach(request, contest).base
    codes, placed = committee_codes(contest), list(contest.classes.filter(places=True))
    officials = [
        {
            "official": official,
            "form": SeatsForm(
                placed,
                auto_id=f"official-{official.pk}-%s",
                initial={
                    "classes": [seat.judging_class.number for seat in official.seats.all()],
                    "is_chair": official.is_chair,
                },
            ),
            "way": way_in(Duty.COMMITTEE, codes[official.pk], base),
        }
        for official in contest.committee_officials.prefetch_related("seats__judging_class")
    ]
    how_far = states(contest)
    classes = [(judged, how_far[judged.pk]) for judged in placed if judged.pk in how_far]
    return page(
        request,
        "committee.html",
        contest,
        status,
        form=form,
        officials=officials,
        classes=classes,
        trouble=trouble,
        base=base,
        join_address=base + reverse("join"),
        folder="committee",
    )


def _shown_to_chair(request: Request, contest: Contest, number: int) -> CommitteeShown:
    """What the officials of a class handed in. Raises Http404 for an official who is not chair of that class, and for
    one who is and has not handed in yet."""
    shown = committee_shown(_class(contest, number))
    if request.is_superintendent:
        return shown
    own = request.helper and request.helper.committee_official_id
    for seat in shown.seats:
        if seat.seat.official_id == own and seat.seat.official.is_chair and seat.key:
            return shown
    raise Http404("Only its chair sees what a committee handed in, and only after handing in.")


def _class(contest: Contest, number: int) -> JudgingClass:
    return get_object_or_404(contest.classes.select_related("contest"), number=number, places=True)


def _agreed_form(shown: CommitteeShown, data: Any = None) -> AgreedForm:
    officials: list[CommitteeOfficial] = [seat.seat.official for seat in shown.seats]
    begin = {"shown": shown.fingerprint}
    if shown.comparison:
        begin |= AgreedForm.saying(shown.comparison.proposal.placing, shown.comparison.proposal.cuts)
    return AgreedForm(shown.judged.animals, officials, data, initial=begin)


def _side_by_side(
    request: Request, contest: Contest, shown: CommitteeShown, form: AgreedForm, status: int = 200, trouble: str = ""
) -> HttpResponse:
    return _page(
        request,
        "side_by_side.html",
        contest,
        shown,
        status,
        version=str(contest.revision),
        form=form,
        fingerprint=shown.fingerprint,
        trouble=trouble,
        key=shown.judged.keys.last(),
        outbox=outbox.outbox_of(request, contest, ROOM),
    )


def _page(
    request: Request, template: str, contest: Contest, shown: CommitteeShown, status: int = 200, **more: Any
) -> HttpResponse:
    return page(request, template, contest, status, judged=shown.judged, committee=shown, folder="committee", **more)


def _after_key(pk: int, number: int) -> str:
    return reverse("keys", args=[pk]) + f"?entered={number}"
