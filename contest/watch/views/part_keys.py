"""Entering the key of a part, twice and blind, beside the keys of the classes."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from contest import outbox, part_keys
from contest.access import contest_for, open_to
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.keys import ReasonWanted
from contest.models import Contest, Duty, Part
from contest.models.outline import HAS_KEY, TEXT_LENGTH
from contest.slips.typed import Unclear
from contest.watch.part_key_pages import PartKeyRow, pairs, part_key_rows
from contest.watch.rendering import page
from contest.watch.views.doubts import problem_text
from contest.watch.views.keys import LONGEST_REASON, ROOM, WhichForm, WhyForm
from contest.web.requests import Request
from contest.web.submissions import submitted


class PartKeyForm(forms.Form):
    """A key of a part in one line, and why it changes where there is one already."""

    text = forms.CharField(required=False, max_length=TEXT_LENGTH)
    reason = forms.CharField(label=_("Why it changes"), required=False, max_length=LONGEST_REASON)

    def __init__(self, part: Part, *args: Any) -> None:
        super().__init__(*args)
        self._part = part

    def clean_text(self) -> str:
        try:
            return part_keys.parse_given(self._part, self.cleaned_data["text"])
        except Unclear as unclear:
            raise forms.ValidationError(str(unclear)) from None


@open_to(Duty.KEYS)
@require_http_methods(["GET", "HEAD", "POST"])
@outbox.sent_by_outbox
def key(request: Request, pk: int, code: str) -> HttpResponse:
    """Enter, confirm or change the key of a part; `act` is the form that was sent."""
    contest = contest_for(request, pk)
    part = get_object_or_404(contest.parts.filter(HAS_KEY).select_related("contest"), code=code)
    if request.method != "POST":
        return _show(request, contest, part)
    acts = {"settle": _settle, "accept": _accept}
    return acts.get(request.POST.get("act", ""), _enter)(request, contest, part)


def _enter(request: Request, contest: Contest, part: Part) -> HttpResponse:
    form = PartKeyForm(part, request.POST)
    if not form.is_valid():
        return outbox.because(_show(request, contest, part, 422, form=form), str(form.errors["text"][0]))
    given, reason = form.cleaned_data["text"], form.cleaned_data["reason"]

    def work() -> Any:
        return part_keys.enter(part, given, request.who, reason).outcome

    try:
        fate = submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("reason" if isinstance(problem, ReasonWanted) else "text", problem_text(problem))
        return outbox.because(_show(request, contest, part, 422, form=form), problem_text(problem))
    if fate == "differs":
        why = gettext("It is not what the other one typed. Look at the official’s sheet together.")
        return outbox.because(_show(request, contest, part, 409, typed_now=True), why)
    return _to_keys(contest, part)


def _settle(request: Request, contest: Contest, part: Part) -> HttpResponse:
    latest, form = part_keys.newest(part), WhichForm(request.POST)
    if latest is None or not latest.other:
        notice = gettext("Somebody has said already which is right.")
        return outbox.because(_show(request, contest, part, 409, notice=notice), notice)
    if not form.is_valid():
        return _show(request, contest, part, 422, which=form)
    right, reason = form.cleaned_data["right"], form.cleaned_data["reason"]
    try:
        submitted(request, lambda: part_keys.settle(latest, right == "first", request.who, reason).pk)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("reason", problem_text(problem))
        return _show(request, contest, part, 422, which=form)
    return _to_keys(contest, part)


def _accept(request: Request, contest: Contest, part: Part) -> HttpResponse:
    """Let one entry be enough: the superintendent's alone."""
    if not request.is_superintendent:
        raise PermissionDenied
    latest, form = part_keys.newest(part), WhyForm(request.POST)
    try:
        if latest and form.is_valid():
            submitted(request, lambda: part_keys.accept(latest, request.who, form.cleaned_data["reason"]).pk)
            return _to_keys(contest, part)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("reason", problem_text(problem))
    return _show(request, contest, part, 422, why=form)


def _to_keys(contest: Contest, part: Part) -> HttpResponse:
    return redirect(f"{reverse('keys', args=[contest.pk])}#key-of-{part.code}")


def _show(
    request: Request,
    contest: Contest,
    part: Part,
    status: int = 200,
    form: forms.Form | None = None,
    which: forms.Form | None = None,
    why: forms.Form | None = None,
    typed_now: bool = False,
    notice: str = "",
) -> HttpResponse:
    row = next(row for row in part_key_rows(contest, request.who) if row.part.pk == part.pk)
    versions = list(part.keys.order_by("-version"))[1 if row.blind else 0 :]
    return page(
        request,
        "part_key.html",
        contest,
        status,
        part=part,
        row=row,
        form=form or PartKeyForm(part),
        which=which or WhichForm(),
        why=why or WhyForm(),
        typed_now=typed_now,
        notice=notice,
        versions=[(version, pairs(part, version.given), ()) for version in versions],
        entries=_entries(row),
        hidden=pairs(part, row.latest.given) if row.latest and row.blind and request.is_superintendent else (),
        changing=row.latest is not None and not row.blind and not row.dispute,
        outbox=outbox.outbox_of(request, contest, ROOM),
    )


def _entries(row: PartKeyRow) -> list[dict[str, Any]]:
    """The two entries of which somebody is to say which is right."""
    if row.latest is None or not row.dispute:
        return []
    return [
        {"value": "first", "by": row.latest.by, "shown": pairs(row.part, row.latest.given)},
        {"value": "second", "by": row.latest.other_by, "shown": pairs(row.part, row.latest.other)},
    ]
