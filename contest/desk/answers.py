"""What a page that reads cards or scores is answered, in the words its script knows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.core.exceptions import RequestDataTooBig
from django.forms import BaseForm
from django.http import HttpResponse, JsonResponse
from django.utils.translation import gettext as _

from contest.changes import SubmissionReused, once
from contest.changes.exceptions import NotPossible
from contest.desk.forms import ReadingForm
from contest.desk.pages import kinds_of
from contest.models import Contest
from contest.outbox import is_another, out, refused
from contest.slips.reading import Outcome
from contest.slips.reading import take_back as withdraw
from contest.slips.slip import of_contest
from contest.web.json_text import parsed
from contest.web.requests import Request


def sent(request: Request) -> dict[str, Any]:
    """What the page sent; empty where that makes no sense, so that its form says what is missing."""
    if request.content_type != "application/json":
        return {}
    try:
        content = parsed(request.body)
    except (ValueError, RequestDataTooBig):
        return {}
    return content if isinstance(content, dict) else {}


def answer(request: Request, form: ReadingForm, work: Callable[[dict[str, Any]], Outcome]) -> HttpResponse:
    """Do what a page's script asks for, once what it sent makes sense and the laptop is still its reader's.

    `work` is given what was sent. Where it raises NotPossible, that is told in words, so that no laptop keeps sending.
    """
    if not form.is_valid():
        return refused(first_error(form))
    if is_another(request, form.cleaned_data["by"]):
        return out()
    try:
        outcome = work(form.cleaned_data)
    except (NotPossible, SubmissionReused) as problem:
        return refused(str(problem))
    told = {"kind": outcome.kind, "text": outcome.text, "reading": outcome.reading_id}
    return JsonResponse(told | outcome.more)


def take_back(request: Request, contest: Contest, room: str, reading: UUID) -> HttpResponse:
    """Take back the reading that came with the submission `reading`, which a laptop knows before it has any answer."""

    def work(sent: dict[str, Any]) -> Outcome:
        rows = (of_contest(contest, kind.readings).filter(submission=reading).first() for kind in kinds_of(room))
        row = next(filter(None, rows), None)
        if row is None:
            raise NotPossible(_("that reading never arrived"))
        once(sent["submission"], ["take back", str(reading), request.who], lambda: withdraw(row, request.who))
        return Outcome("taken-back", _("taken back"), 0)

    return answer(request, ReadingForm(sent(request)), work)


def first_error(form: BaseForm) -> str:
    """What is wrong with a form, in one line."""
    name, errors = next(iter(form.errors.items()))
    return f"{name}: {errors[0]}"
