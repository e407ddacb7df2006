"""All about one slip: all that was ever read of it, and what the superintendent does about it."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import BadRequest
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import Contest, State
from contest.scanning.pictures import pictures_of
from contest.slips.kinds import BY_NAME, slip_of
from contest.slips.reading import bring_back_together, move, set_aside
from contest.slips.slip import Slip
from contest.watch import deciding
from contest.watch.doubts import fingerprint, letter, said_of
from contest.watch.forms import DecideForm, MoveForm, ReasonedForm
from contest.watch.rendering import address_of, page
from contest.watch.undoing import done_at, stretch
from contest.watch.views.doubts import back_to_doubts, overtaken, problem_text, show_doubts
from contest.web.requests import Request
from contest.web.submissions import submitted

LETTERS = 26
MOST_BACK = 100
LONGEST_KEY = 18


@require_safe
def history(request: Request, pk: int, kind: str, **place: int) -> HttpResponse:
    """All about the slip of that kind at a place of the contest."""
    return _show(request, BY_NAME[kind].at(contest_for(request, pk), **place))


@require_POST
def decide(request: Request, pk: int, kind: str, **place: int) -> HttpResponse:
    """Say what the slip counts as."""
    slip = BY_NAME[kind].at(contest_for(request, pk), **place)
    form = _decide_form(slip, list(slip.live()), data=request.POST)
    if not form.is_valid():
        return _again(request, slip, form)
    values = form.cleaned_data

    def work() -> None:
        deciding.decide_seen(slip, values["counts"], request.who, form.because, values["on_card"], values["shown"])

    try:
        said = submitted(request, lambda: stretch(slip.contest, work))
    except deciding.Overtaken:
        return overtaken(request, slip.contest, form, said_of(slip))
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("counts", problem_text(problem))
        return _again(request, slip, form)
    return _onward(values, slip, said)


@require_POST
def put_right(request: Request, pk: int, slips: str, reading: int) -> HttpResponse:
    """Give a stray reading to the slip that it is of, or set it aside."""
    contest = contest_for(request, pk)
    kind = BY_NAME.get(slips)
    if kind is None:
        raise Http404("There are no such slips.")
    rows = kind.rows_of(contest, kind.readings).select_related("helper")
    stray = get_object_or_404(rows, pk=reading)
    slip = there = slip_of(stray)
    form = _move_form(slip, stray, data=request.POST)
    if not form.is_valid():
        return _again(request, slip, form)
    if stray.withdrawn_at:
        why = _("{name} has dealt with this reading meanwhile. Nothing was changed.").format(name=stray.withdrawn_by)
        form.add_error(None, why)
        return _show(request, slip, bound=form, status=409)
    values, because = form.cleaned_data, form.because
    moves = values["act"] == "move"
    try:
        if moves:
            there = slip.elsewhere(values)
            said = submitted(request, lambda: stretch(contest, lambda: move(stray, there, request.who, because)))
        else:
            said = submitted(request, lambda: stretch(contest, lambda: set_aside(stray, request.who, because)))
    except (NotPossible, SubmissionReused) as problem:
        whose = form.places[0].name
        form.add_error(getattr(problem, "field", whose) if moves else None, problem_text(problem))
        return _again(request, slip, form)
    return _onward(values, there, said)


@require_POST
def misread(request: Request, pk: int, kind: str, **place: int) -> HttpResponse:
    """The number on the slip was misread: all that was read of it is somebody else's, or nobody's."""
    slip = BY_NAME[kind].at(contest_for(request, pk), **place)
    form = MoveForm(request.POST, key=slip.place.key, kind=type(slip), contest=slip.contest, whose_alone=True)
    if not form.is_valid():
        return _again(request, slip, form)
    values, because = form.cleaned_data, form.because

    def seen(there: Slip | None) -> None:
        deciding.put_right_seen(slip, there, request.who, because, values["shown"])

    try:
        there = slip.elsewhere(_where_it_is(slip) | values) if values["act"] == "move" else None
        said = submitted(request, lambda: stretch(slip.contest, lambda: seen(there)))
    except WrongValue as problem:
        form.add_error(form.places[0].name, str(problem))
        return _again(request, slip, form)
    except (NotPossible, SubmissionReused) as problem:
        return show_doubts(request, slip.contest, at=slip.place.key, status=409, trouble=problem_text(problem))
    return _onward(values, there or slip, said)


def _where_it_is(slip: Slip) -> dict[str, Any]:
    judged = getattr(slip, "judging_class", None)
    at = {name: getattr(slip, name, None) for name in ("official", "part", "team")}
    return at | {"class_number": judged and judged.number}


@require_POST
def back(request: Request, pk: int) -> HttpResponse:
    """Let readings that were set aside count again: one on its slip's page, or several on the page of their entry."""
    contest = contest_for(request, pk)
    readings = [_reading(contest, text) for text in request.POST.getlist("reading")[:MOST_BACK]]
    if not readings:
        raise BadRequest(_("This form does not say what it is about."))
    try:
        submitted(request, lambda: bring_back_together(readings, request.who))
    except (NotPossible, SubmissionReused) as problem:
        return _show(request, slip_of(readings[0]), status=409, trouble=problem_text(problem))
    contestant = readings[0].contestant
    if "entry" in request.POST and contestant:
        return redirect("entry", pk, contestant.pk)
    return redirect(slip_of(readings[0]).place.address(contest))


def _reading(contest: Contest, text: str) -> Any:
    """The reading that a form calls `card-12`. Raises Http404."""
    name, _dash, key = text.partition("-")
    if name not in BY_NAME or not key.isascii() or not key.isdecimal() or len(key) > LONGEST_KEY:
        raise Http404("There is no such reading.")
    kind = BY_NAME[name]
    return get_object_or_404(kind.rows_of(contest, kind.readings).select_related("helper"), pk=key)


def _decide_form(slip: Slip, live: list[Any], **how: Any) -> DecideForm:
    values = [getattr(reading, slip.value) for reading in live]
    return DecideForm(key=slip.place.key, kind=slip, values=values, **how)


def _move_form(slip: Slip, reading: Any, data: Any = None) -> MoveForm:
    judged, contestant = getattr(slip, "judging_class", None), slip.contestant
    initial = {"class_number": judged and judged.number, "number": contestant and contestant.number, "back": "card"}
    initial |= {name: getattr(slip, name) for name in ("number", "official", "team", "part") if hasattr(slip, name)}
    part = getattr(slip, "part", None)
    key, kind = f"reading-{reading.pk}", type(slip)
    return MoveForm(key=key, data=data, initial=initial, kind=kind, contest=slip.contest, part=part)


def _again(request: Request, slip: Slip, form: ReasonedForm) -> HttpResponse:
    """The page that the form stands on, with what was typed and what is wrong with it."""
    if form.data.get("back") == "doubts":
        key = str(form.auto_id).removesuffix("-%s")
        return show_doubts(request, slip.contest, at=key, bound=form, status=422)
    return _show(request, slip, bound=form, status=422)


def _onward(values: dict[str, Any], slip: Slip, said: str) -> HttpResponse:
    if values["back"] == "doubts":
        return back_to_doubts(slip.contest, values, said)
    return redirect(f"{slip.place.address(slip.contest)}?{urlencode({'did': said})}")


def _show(
    request: Request, slip: Slip, bound: ReasonedForm | None = None, status: int = 200, trouble: str = ""
) -> HttpResponse:
    live = list(slip.live())
    letter_of = {reading.pk: letter(place) for place, reading in enumerate(live[:LETTERS])}
    rows = []
    for reading in slip.ever_read():
        form = _move_form(slip, reading)
        if isinstance(bound, MoveForm) and bound.auto_id == form.auto_id:
            form = bound
        rows.append(
            {
                "reading": reading,
                "letter": letter_of.get(reading.pk, ""),
                "text": slip.text(reading),
                "form": form,
                "open": form is bound,
            }
        )
    decide = None
    if slip.is_due():
        initial = {"shown": fingerprint(reading.pk for reading in live), "back": "card"}
        decide = bound if isinstance(bound, DecideForm) else _decide_form(slip, live, initial=initial)
    counts = slip.result()
    return page(
        request,
        "history.html",
        slip.contest,
        status,
        trouble=trouble,
        slip=slip,
        rows=rows,
        counts=counts,
        pictures=pictures_of(slip.contest, [slip]).get(slip.place),
        done=done_at(slip.contest, request.GET.get("did", "")),
        undo_back="card",
        text=counts and slip.text(counts),
        state=counts and State(counts.state).label,
        form=decide,
        list_address=slip.listed.address(slip.contest),
        decide_address=address_of("decide", slip.contest, slip.place),
    )
