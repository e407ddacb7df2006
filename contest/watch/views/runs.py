"""A run of readings: what one reader read of a class and group, moved to another at once."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Contest
from contest.slips.cards import CardSlip
from contest.slips.whole_stacks import Run, move_run
from contest.watch.forms import RunForm
from contest.watch.rendering import page
from contest.watch.runs import stacks_of_cards
from contest.watch.undoing import stretch
from contest.watch.views.doubts import back_to_doubts, problem_text
from contest.web.requests import Request
from contest.web.submissions import submitted


@require_http_methods(["GET", "HEAD", "POST"])
def run(request: Request, pk: int, reading: int) -> HttpResponse:
    """The run that a reading belongs to; where its cards really are is said, and all of it goes there."""
    contest = contest_for(request, pk)
    rows = CardSlip.rows_of(contest, CardSlip.readings).filter(contestant__isnull=False, decides=False)
    row = get_object_or_404(rows, pk=reading)
    whole = Run(row.judging_class, row.contestant.group, row.by)
    readings = list(whole.readings())
    numbers = [one.number for one in readings] or [row.number]
    targets = [stack for stack in stacks_of_cards(contest) if stack != (row.judging_class, row.contestant.group)]
    initial = {"first": min(numbers), "last": max(numbers)}
    form = RunForm(request.POST or None, targets=targets, initial=initial, key="run")
    if request.method != "POST" or not form.is_valid():
        return _show(request, contest, whole, numbers, form)
    values, because = form.cleaned_data, form.because

    def work() -> None:
        there, group = values["there"]
        move_run(whole, (values["first"], values["last"]), there, group, request.who, because)

    try:
        said = submitted(request, lambda: stretch(contest, work))
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("there", problem_text(problem))
        return _show(request, contest, whole, numbers, form)
    return back_to_doubts(contest, {"next": "", "among": ""}, said)


def _show(request: Request, contest: Contest, whole: Run, numbers: list[int], form: RunForm) -> HttpResponse:
    shown: dict[str, Any] = {"whole": whole, "numbers": numbers, "form": form}
    return page(request, "run.html", contest, 422 if form.is_bound else 200, **shown)
