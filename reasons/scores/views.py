"""Entering reasons scores and marks."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

from django.db.models import QuerySet
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest import outbox
from contest.access import contest_for, open_to
from contest.changes.exceptions import NotPossible
from contest.desk import answers
from contest.desk.help import help_for_scores
from contest.desk.pages import queue_page, stack_shown
from contest.desk.practice import practice_shown
from contest.models import Contest, Contestant, Duty, JudgingClass, Part
from contest.slips.choices import ChoiceStack
from contest.slips.keyed import keyed
from contest.slips.marks import MarkStack
from contest.slips.points import PointsStack
from contest.slips.reading import Outcome, read
from contest.slips.reasons import ReasonsStack
from contest.slips.stack import numbers_asked
from contest.web import bounds
from contest.web.requests import Request
from contest.web.revisions import nothing_new
from contest.web.submissions import submission_of, submitted
from reasons.scores.checking import class_scores, owners_in_part, part_marks, people_of_class
from reasons.scores.entry import groups_of, marks_lists, reasons_lists
from reasons.scores.forms import (
    NO_SCORE,
    ChoiceForm,
    OfficialForm,
    PlainChoiceForm,
    PlainForm,
    PlainScoreForm,
    ScoreForm,
    Unsure,
    chosen_on,
)
from reasons.scores.officials import add_official, officials_of, remove_official

PRACTICE = {901: "43", 902: "38.5", 903: "41", 904: NO_SCORE, 905: "46.5"}
"""What the invented slips say."""

ROWS = 100
"""Rows of a page of scores to be checked; the others follow on further pages."""


@open_to(Duty.REASONS)
@never_cache
@require_safe
def scores(request: Request, pk: int) -> HttpResponse:
    """What there is to enter; a poll is answered with the lists alone, or not at all while nothing changed."""
    contest = contest_for(request, pk)
    if request.GET.get("v") == str(contest.revision):
        return HttpResponse(status=204)
    if request.htmx:
        return _page(request, "_lists.html", contest, **_lists(request, contest))
    return _show_scores(request, contest, OfficialForm())


@open_to(Duty.REASONS)
@require_POST
def new_official(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = OfficialForm(request.POST)
    if form.is_valid():
        try:
            submitted(request, lambda: add_official(contest, form.cleaned_data["name"], request.who).pk)
            return redirect("scores", pk)
        except NotPossible as problem:
            form.add_error("name", str(problem))
    return _show_scores(request, contest, form, status=422)


@open_to(Duty.REASONS)
@require_POST
def no_official(request: Request, pk: int, official: int) -> HttpResponse:
    contest = contest_for(request, pk)
    row = contest.reasons_officials.filter(pk=official).first()
    try:
        if row:  # sent again by an impatient finger, it is gone already
            submitted(request, lambda: remove_official(row, request.who))
    except NotPossible as problem:
        return _show_scores(request, contest, OfficialForm(), problem=str(problem), status=409)
    return redirect("scores", pk)


@never_cache
@require_safe
def class_check(request: Request, pk: int, number: int) -> HttpResponse:
    """Every official's scores on one class, to be checked against their slips: the superintendent's alone."""
    contest = contest_for(request, pk)
    judged = _class_of(contest, number)
    part = _part(request, people_of_class(judged))
    scores = class_scores(judged, part.rows)
    columns = [(official, ReasonsStack(judged, official).place.address(contest)) for official in scores.officials]
    shown: dict[str, Any] = {"columns": columns, "rows": scores.rows, "shown": part}
    return _page(request, "check_class.html", contest, judged=judged, totals=scores.totals, **shown)


@never_cache
@require_safe
def part_check(request: Request, pk: int, code: str) -> HttpResponse:
    """Every mark of one part, to be checked against the slips: the superintendent's alone."""
    contest = contest_for(request, pk)
    part = _part_of(contest, code)
    stack = ChoiceStack(part) if part.has_key else MarkStack(part)
    columns = [(keyed(part).column if part.has_key else _("Mark"), stack.place.address(contest))]
    shown = _part(request, owners_in_part(part))
    rows = part_marks(part, shown.rows)
    return _page(request, "check_part.html", contest, part=part, columns=columns, rows=rows, shown=shown)


def _part(request: Request, owners: QuerySet[Any]) -> bounds.ListPart:
    """The part of those who stand on a page of scores that is asked for, or the one with the number that is."""
    number, at = request.GET.get("number", "").strip(), None
    if number.isascii() and number.isdecimal() and len(number) <= 9 and owners.model is Contestant:
        at = owners.filter(number__lt=int(number)).count()
    return bounds.part_of(owners, ROWS, request.GET, at)


@open_to(Duty.REASONS)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def stack(request: Request, pk: int, **where: Any) -> HttpResponse:
    """Where a stack is entered. Its script sends to `readings`; without script, the page's own form is sent here."""
    stack = _stack(request, pk, **where)
    shown = stack_shown(request, stack)
    due = stack.left(shown["slips"])
    form_of: type[PlainForm] = PlainChoiceForm if isinstance(stack, ChoiceStack) else PlainScoreForm
    template = f"reasons/{stack.keyed.page if isinstance(stack, ChoiceStack) else 'sheet'}.html"
    form = form_of(initial={"number": due[0].number if due else None})
    shown |= {
        "settings": "reasons/_sheet_settings.html",
        "address": stack.place.address(stack.contest),
        "groups": groups_of(shown["slips"]),
        "form": form,
        "submission": uuid4(),
    }
    if request.method != "POST":
        return render(request, template, shown)
    form = form_of(request.POST)
    shown |= {"form": form, "submission": submission_of(request)}
    if form.is_valid():
        number = form.cleaned_data["number"]
        of = next((slip.of for slip in shown["slips"] if slip.number == number), None if stack.by_name else number)
        try:
            if of is None:
                raise NotPossible(_("no team has number {number} in this list").format(number=number))
            slip = stack.slip(of)
            read(slip, form.value_for(stack, slip), request.who, shown["submission"], request.helper)
            return redirect(stack.place.address(stack.contest, group=stack.group))
        except NotPossible as problem:
            if isinstance(problem, Unsure):
                shown["unsure"] = form.data[form.typed]
            form.add_error(form.typed, str(problem))
    return render(request, template, shown, status=422)


@open_to(Duty.REASONS)
@never_cache
@require_safe
def practice(request: Request, pk: int) -> HttpResponse:
    """Five invented slips to begin with, which count for nobody."""
    contest = contest_for(request, pk)
    helped = help_for_scores(by_name=False, reads_twice=contest.readings_per_card > 1)
    own = {"most": ReasonsStack.most, "low": ReasonsStack.low}
    shown = practice_shown(request, contest, "scores", PRACTICE, _("Practice"), helped, **own)
    papers = {number: "" if says == NO_SCORE else says for number, says in PRACTICE.items()}
    shown |= {"settings": "reasons/_sheet_settings.html", "papers": papers}
    return render(request, "reasons/practice.html", shown)


@open_to(Duty.REASONS)
@require_POST
def readings(request: Request, pk: int, **where: Any) -> HttpResponse:
    """Add the reading that a script sends. A stack that is gone meanwhile is refused in words, so that no device keeps
    sending to it."""

    def work(sent: dict[str, Any]) -> Outcome:
        try:
            stack = _stack(request, pk, **where)
        except Http404:
            raise NotPossible(_("that class, official or part is not in this contest any more")) from None
        slip = stack.slip(sent["of"])
        value = chosen_on(slip, sent["chosen"]) if isinstance(stack, ChoiceStack) else sent["points"]
        return read(slip, value, request.who, sent["submission"], request.helper)

    form_of = ChoiceForm if where.get("keeps") else ScoreForm
    return answers.answer(request, form_of(answers.sent(request)), work)


@open_to(Duty.REASONS)
@never_cache
@require_safe
def expected(request: Request, pk: int, **where: Any) -> HttpResponse:
    stack = _stack(request, pk, **where)
    version = str(stack.contest.revision)
    if same := nothing_new(request, version):
        return same
    numbers = [slip.of for slip in stack.left(stack.slips(request.who))]
    return JsonResponse({"numbers": numbers, "version": version})


@open_to(Duty.REASONS)
@never_cache
@require_safe
def hello(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    return outbox.hello(request, outbox.shelf_of(request, contest, "scores"))


@open_to(Duty.REASONS)
@require_POST
def take_back(request: Request, pk: int, reading: UUID) -> HttpResponse:
    return answers.take_back(request, contest_for(request, pk), "scores", reading)


def _show_scores(
    request: Request, contest: Contest, form: OfficialForm, problem: str = "", status: int = 200
) -> HttpResponse:
    queue = queue_page(request, contest, "scores")
    shown = _lists(request, contest)
    return _page(request, "scores.html", contest, status, form=form, problem=problem, queue=queue, **shown)


def _page(request: Request, template: str, contest: Contest, status: int = 200, **shown: Any) -> HttpResponse:
    context = {"contest": contest, "rules": contest, "revision": contest.revision, **shown}
    return render(request, f"reasons/{template}", context, status=status)


def _lists(request: Request, contest: Contest) -> dict[str, Any]:
    return {
        "classes": reasons_lists(contest, request.who),
        "parts": marks_lists(contest, request.who),
        "officials": officials_of(contest),
    }


def _stack(
    request: Request, pk: int, number: int = 0, official: int = 0, code: str = "", keeps: bool = False
) -> PointsStack | ChoiceStack:
    """What an official gave on a class or, by the code of a part, its marks or what was chosen in it; of the group that
    is asked for."""
    contest, group = contest_for(request, pk), request.GET.get("group")
    if code:
        part = _part_of(contest, code)
        if part.has_key != keeps:
            raise Http404("That part is scored in another way.")
        once_more = numbers_asked(request.GET.get("again", ""))
        return ChoiceStack(part, group=group, once_more=once_more) if keeps else MarkStack(part, group=group)
    judged = _class_of(contest, number)
    by = get_object_or_404(contest.reasons_officials, pk=official)
    return ReasonsStack(judged, by, group=group, once_more=numbers_asked(request.GET.get("again", "")))


def _part_of(contest: Contest, code: str) -> Part:
    return get_object_or_404(contest.parts.select_related("contest"), code=code)


def _class_of(contest: Contest, number: int) -> JudgingClass:
    judged = contest.classes.filter(number=number, class_divisions__gives_reasons=True).distinct().first()
    if judged is None:
        raise Http404("No reasons are given on that class.")
    return judged
