"""All about one card or slip: all that was ever read of it, and what the superintendent does about it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Contest, JudgingClass, MarkReading, Part, Reading, ReasonsReading, Team
from contest.slips.marks import move_mark
from contest.slips.reading import move_reading, set_aside
from contest.slips.reasons import move_reasons
from contest.slips.score_reading import set_score_aside
from contest.watch import deciding
from contest.watch.doubts import said_of, seen
from contest.watch.forms import DecideForm, MoveForm, MoveMarkForm, MoveReasonsForm, ReasonedForm, StrayForm
from contest.watch.pages import page
from contest.watch.papers import CardPaper, Paper, address_of, decide_address_of, letters, mark_paper, reasons_paper
from contest.watch.views.doubts import back_to_doubts, in_words, overtaken, show_doubts
from contest.web.requests import Request
from contest.web.submissions import submitted

STATES = {"once": "read once", "settled": "settled", "doubt": "doubtful"}
MOVE_ADDRESSES = {Reading: "put-right", ReasonsReading: "put-right-reasons", MarkReading: "put-right-mark"}


@require_safe
def history(request: Request, pk: int, find, **place) -> HttpResponse:
    """All about the paper that `find` finds at a place of the contest."""
    return _show(request, find(contest_for(request, pk), **place))


@require_POST
def decide(request: Request, pk: int, find, **place):
    """Say what the paper counts as."""
    paper = find(contest_for(request, pk), **place)
    values = [paper.value(reading) for reading in paper.live()]
    form = DecideForm(request.POST, key=paper.place.key, values=values, points=paper.is_points)
    if not form.is_valid():
        return _again(request, paper, form)
    given = form.cleaned_data

    def work() -> None:
        deciding.decide_seen(paper, given["counts"], request.who, form.because, given.get("on_card", ""), given["seen"])

    try:
        submitted(request, work)
    except deciding.Overtaken:
        return overtaken(request, paper.contest, form, said_of(paper.live(), paper.text))
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("counts", in_words(problem))
        return _again(request, paper, form)
    return _onward(given, paper)


@require_POST
def put_right(request: Request, pk: int, reading: int) -> HttpResponse:
    """Give a stray reading to the card that it is of, or set it aside."""
    contest = contest_for(request, pk)
    rows = Reading.objects.select_related("judging_class__contest", "contestant", "helper")
    stray = get_object_or_404(rows, pk=reading, judging_class__contest=contest)
    paper = find_card(contest, stray.judging_class.number, stray.number)

    def move(given: dict[str, Any], because: str) -> tuple[Paper, Callable[[], None]]:
        judged = _class_of(contest, given)
        there = find_card(contest, judged.number, given["number"])
        return there, lambda: move_reading(stray, given["number"], request.who, because, judged)

    return _put_right(request, paper, stray, lambda because: set_aside(stray, request.who, because), move)


@require_POST
def put_reasons_right(request: Request, pk: int, reading: int) -> HttpResponse:
    """Give the reading of a reasons score to the set and official that it is of, or set it aside."""
    contest = contest_for(request, pk)
    rows = ReasonsReading.objects.select_related("judging_class__contest", "official", "contestant", "helper")
    stray = get_object_or_404(rows, pk=reading, judging_class__contest=contest)
    paper = reasons_paper(stray.judging_class, stray.official, stray.contestant)

    def move(given: dict[str, Any], because: str) -> tuple[Paper, Callable[[], None]]:
        judged, contestant = _class_of(contest, given), _contestant(contest, given)
        official = given["official"] or stray.official
        there = reasons_paper(judged, official, contestant)
        return there, lambda: move_reasons(stray, judged, official, contestant, request.who, because)

    return _put_score_right(request, paper, stray, move)


@require_POST
def put_mark_right(request: Request, pk: int, reading: int) -> HttpResponse:
    """Give the reading of a mark to whoever earned it, or set it aside."""
    contest = contest_for(request, pk)
    rows = MarkReading.objects.select_related("part__contest", "contestant", "team", "helper")
    stray = get_object_or_404(rows, pk=reading, part__contest=contest)
    paper = mark_paper(stray.part, stray.contestant or stray.team)

    def move(given: dict[str, Any], because: str) -> tuple[Paper, Callable[[], None]]:
        owner = given["team"] if stray.team else _contestant(contest, given)
        part = given["part"] or stray.part
        return mark_paper(part, owner), lambda: move_mark(stray, owner, request.who, because, part)

    return _put_score_right(request, paper, stray, move)


def _put_score_right(request: Request, paper, stray, move):
    return _put_right(
        request, paper, stray, lambda because: set_score_aside(paper.slip, stray, request.who, because), move
    )


class _Nowhere(NotPossible):
    """Raised where a reading is to be moved to what is not there; `field` is the one that says so."""

    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field = field


def _put_right(
    request: Request,
    paper: Paper,
    stray: Any,
    aside: Callable[[str], None],
    move: Callable[[dict, str], tuple[Paper, Callable[[], None]]],
):
    """Move a reading or set it aside; `move` finds the paper that it is really of, and how it gets there."""
    form = _move_form(paper, stray, data=request.POST)
    if not form.is_valid():
        return _again(request, paper, form)
    if stray.withdrawn_at:
        form.add_error(None, f"{stray.withdrawn_by} has dealt with this reading meanwhile. Nothing was changed.")
        return _show(request, paper, bound=form, status=409)
    given, because = form.cleaned_data, form.because
    moves = given["act"] == "move"
    try:
        there, work = move(given, because) if moves else (paper, lambda: aside(because))
        submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        whose = form.places[0].name
        form.add_error(getattr(problem, "field", whose) if moves else None, in_words(problem))
        return _again(request, paper, form)
    return _onward(given, there)


def find_card(contest: Contest, class_number: int, number: int) -> CardPaper:
    judged = get_object_or_404(contest.classes.select_related("contest"), number=class_number)
    return CardPaper(judged, number, contest.contestants.filter(number=number).select_related("division").first())


def find_reasons(contest: Contest, class_number: int, official: int, number: int):
    return reasons_paper(
        get_object_or_404(contest.classes.select_related("contest"), number=class_number),
        get_object_or_404(contest.reasons_officials, pk=official),
        get_object_or_404(contest.contestants.select_related("division"), number=number),
    )


def find_mark(contest: Contest, part: int, number: int):
    owner = get_object_or_404(contest.contestants.select_related("division"), number=number)
    return mark_paper(_part(contest, part, Part.Scope.INDIVIDUAL), owner)


def find_team_mark(contest: Contest, part: int, team: int):
    owner = get_object_or_404(Team.objects.select_related("division"), pk=team, division__contest=contest)
    return mark_paper(_part(contest, part, Part.Scope.TEAM), owner)


def _part(contest: Contest, part: int, scope: str) -> Part:
    return get_object_or_404(contest.parts.select_related("contest"), pk=part, scope=scope)


def _class_of(contest: Contest, given: dict[str, Any]) -> JudgingClass:
    judged = contest.classes.filter(number=given["class_number"]).first()
    if judged is None:
        raise _Nowhere("class_number", f"there is no class {given['class_number']}")
    return judged


def _contestant(contest: Contest, given: dict[str, Any]):
    contestant = contest.contestants.filter(number=given["number"]).first()
    if contestant is None:
        raise _Nowhere("number", f"there is no contestant {given['number']}")
    return contestant


def _move_form(paper: Paper, reading: Any, data=None) -> MoveForm:
    fields: dict[str, Any] = {"key": f"reading-{reading.pk}", "data": data}
    if isinstance(reading, Reading):
        at = {"number": reading.number, "class_number": reading.judging_class.number}
        return StrayForm(**fields, initial={**at, "back": "card"})
    at = {"number": reading.contestant and reading.contestant.number, "back": "card"}
    if isinstance(reading, ReasonsReading):
        at |= {"class_number": reading.judging_class.number, "official": reading.official_id}
        return MoveReasonsForm(**fields, contest=paper.contest, initial=at)
    return MoveMarkForm(**fields, of=reading.part, initial={**at, "team": reading.team_id, "part": reading.part_id})


def _again(request: Request, paper: Paper, form: ReasonedForm) -> HttpResponse:
    """The page that the form stands on, with what was typed and what is wrong with it."""
    if form.data.get("back") == "doubts":
        key = form.auto_id.removesuffix("-%s")
        return show_doubts(request, paper.contest, at=key, bound=form, status=422)
    return _show(request, paper, bound=form, status=422)


def _onward(given: dict[str, Any], paper: Paper):
    if given["back"] == "doubts":
        return back_to_doubts(paper.contest, given)
    return redirect(address_of(paper.contest, paper.place))


def _show(request: Request, paper: Paper, bound: ReasonedForm | None = None, status: int = 200) -> HttpResponse:
    live = list(paper.live())
    letter_of = letters(live)
    rows = []
    for reading in paper.ever_read():
        form = _move_form(paper, reading)
        if isinstance(bound, MoveForm) and bound.auto_id == form.auto_id:
            form = bound
        rows.append(
            {
                "reading": reading,
                "letter": letter_of.get(reading.pk, ""),
                "text": paper.text(reading),
                "form": form,
                "open": form is bound,
                "move": MOVE_ADDRESSES[type(reading)],
            }
        )
    decide = None
    if paper.is_due:
        initial = {"seen": seen(reading.pk for reading in live), "back": "card"}
        values = [paper.value(reading) for reading in live]
        decide = DecideForm(key=paper.place.key, values=values, points=paper.is_points, initial=initial)
        if isinstance(bound, DecideForm):
            decide = bound
    counts = paper.counts()
    return page(
        request,
        "history.html",
        paper.contest,
        status,
        paper=paper,
        rows=rows,
        counts=counts,
        text=counts and paper.text(counts),
        state=counts and STATES[counts.state],
        form=decide,
        decide_address=decide_address_of(paper.contest, paper.place),
    )
