"""Entering the officials' keys, twice and blind. Whoever enters keys sees no card, no score and no standing."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest import outbox
from contest.access import contest_for, open_to
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.committee.states import agreed_by
from contest.keys import ReasonWanted, accept_key, enter_key, settle_dispute
from contest.models import Card, Contest, Duty, JudgingClass, KeyDispute
from contest.slips.typed import Unclear
from contest.watch import key_pages
from contest.watch.part_key_pages import part_key_rows
from contest.watch.rendering import page
from contest.watch.typed import TypedKey, example, parse_key
from contest.watch.views.doubts import problem_text
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, revision_of
from contest.web.submissions import submitted
from scoring.core.placing import ANIMALS

LONGEST_REASON = 150
ROOM = "keys"


class KeyForm(forms.Form):
    """A key in one line, and why it changes where there is one already."""

    text = forms.CharField(label=_("Placing and cuts"), required=False, max_length=60)
    reason = forms.CharField(label=_("Why it changes"), required=False, max_length=LONGEST_REASON)

    def __init__(self, judged: JudgingClass, data: Any = None) -> None:
        super().__init__(data)
        self._animals = judged.animals

    def clean_text(self) -> TypedKey:
        try:
            return parse_key(self.cleaned_data["text"], self._animals)
        except Unclear as unclear:
            raise forms.ValidationError(str(unclear)) from None


class WhyForm(forms.Form):
    reason = forms.CharField(label=_("Reason"), required=False, max_length=LONGEST_REASON)


class WhichForm(WhyForm):
    """Which of two entries is right."""

    right = forms.ChoiceField(
        label=_("Which is right?"), choices=[("first", "first"), ("second", "second")], widget=forms.RadioSelect
    )


@open_to(Duty.KEYS)
@require_safe
def keys(request: Request, pk: int) -> HttpResponse:
    """Every class and how far its key is."""
    version = str(revision_of(pk))
    if same := nothing_new(request, version):
        return same
    contest = contest_for(request, pk)
    rows = key_pages.key_rows(contest, request.who)
    if is_poll(request):
        parts = part_key_rows(contest, request.who)
        return page(request, "_keys.html", contest, version=str(contest.revision), rows=rows, parts=parts)
    entered = request.GET.get("entered", "")
    done = next((row for row in rows if str(row.judged.number) == entered), None)
    open_rows = [row for row in rows if row.wants_me]
    return page(
        request,
        "keys.html",
        contest,
        version=str(contest.revision),
        rows=rows,
        parts=part_key_rows(contest, request.who),
        done=done,
        cards=_cards(done.judged) if done and done.versions > 1 else 0,
        next=open_rows[0] if open_rows else None,
        outbox=outbox.outbox_of(request, contest, ROOM),
    )


@open_to(Duty.KEYS)
@require_http_methods(["GET", "HEAD", "POST"])
@outbox.sent_by_outbox
def key(request: Request, pk: int, number: int) -> HttpResponse:
    """Enter, confirm or change the key of one class."""
    contest = contest_for(request, pk)
    judged = _class(contest, number)
    if request.method != "POST":
        return _show(request, contest, judged, KeyForm(judged))
    form = KeyForm(judged, request.POST)
    if not form.is_valid():
        return outbox.because(_show(request, contest, judged, form, 422), str(form.errors["text"][0]))
    typed, reason = form.cleaned_data["text"], form.cleaned_data["reason"]

    def work() -> Any:
        return enter_key(judged, typed.official, typed.cuts, request.who, reason).outcome

    try:
        fate = submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("reason" if isinstance(problem, ReasonWanted) else "text", problem_text(problem))
        return outbox.because(_show(request, contest, judged, form, 422), problem_text(problem))
    if fate == "differs":
        why = gettext("It is not what the other one typed. Look at the official’s sheet together.")
        return outbox.because(_show(request, contest, judged, KeyForm(judged), 409, typed_now=True), why)
    return redirect(reverse("keys", args=[pk]) + f"?entered={number}")


@open_to(Duty.KEYS)
@never_cache
@require_safe
def hello(request: Request, pk: int) -> HttpResponse:
    return outbox.hello(request, outbox.shelf_of(request, contest_for(request, pk), ROOM))


@open_to(Duty.KEYS)
@require_POST
def preview(request: Request, pk: int, number: int) -> HttpResponse:
    """The grid of what is typed so far. Changes nothing; a POST so that no key stands in an address."""
    judged = _class(contest_for(request, pk), number)
    return render(request, "contest/watch/_key_preview.html", _preview(judged, request.POST.get("text", "")))


@open_to(Duty.KEYS)
@require_POST
@outbox.sent_by_outbox
def settle(request: Request, pk: int, number: int) -> HttpResponse:
    """Say which of two entries is right."""
    contest = contest_for(request, pk)
    judged = _class(contest, number)
    disputes = KeyDispute.objects.select_related("key__judging_class__contest")
    dispute = disputes.filter(key__judging_class=judged, settled_at=None).first()
    form = WhichForm(request.POST)
    if dispute is None:
        notice = gettext("Somebody has said already which is right.")
        return outbox.because(_show(request, contest, judged, KeyForm(judged), 409, notice=notice), notice)
    if not form.is_valid():
        return _show(request, contest, judged, KeyForm(judged), 422, which=form)
    values = form.cleaned_data

    def work() -> None:
        settle_dispute(dispute, values["right"] == "first", request.who, values["reason"])

    try:
        submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("reason", problem_text(problem))
        return _show(request, contest, judged, KeyForm(judged), 422, which=form)
    return redirect(reverse("keys", args=[pk]) + f"?entered={number}")


@require_POST
@outbox.sent_by_outbox
def accept(request: Request, pk: int, number: int) -> HttpResponse:
    """Let one entry be enough: the superintendent's alone."""
    if not request.is_superintendent:
        raise PermissionDenied
    contest = contest_for(request, pk)
    judged = _class(contest, number)
    latest = get_object_or_404(judged.keys.order_by("-version")[:1])
    form = WhyForm(request.POST)

    def work() -> None:
        accept_key(latest, request.who, form.cleaned_data["reason"])

    try:
        if form.is_valid():
            submitted(request, work)
            return redirect(reverse("keys", args=[pk]) + f"?entered={number}")
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("reason", problem_text(problem))
    return _show(request, contest, judged, KeyForm(judged), 422, why=form)


def _class(contest: Contest, number: int) -> JudgingClass:
    return get_object_or_404(contest.classes.select_related("contest"), number=number, places=True)


def _cards(judged: JudgingClass) -> int:
    """How many cards a change of the key scores anew."""
    return Card.objects.filter(judging_class=judged, contestant__present=True).count()


def _preview(judged: JudgingClass, text: str) -> dict[str, Any]:
    try:
        typed = parse_key(text, judged.animals)
    except Unclear as unclear:
        return {"unclear": str(unclear) if text.strip() else ""}
    return {"preview": key_pages.preview(judged, typed.official, typed.cuts)}


def _show(
    request: Request,
    contest: Contest,
    judged: JudgingClass,
    form: KeyForm,
    status: int = 200,
    which: forms.Form | None = None,
    why: forms.Form | None = None,
    typed_now: bool = False,
    notice: str = "",
) -> HttpResponse:
    row = next(row for row in key_pages.key_rows(contest, request.who) if row.judged.pk == judged.pk)
    versions = list(judged.keys.order_by("-version"))
    if row.blind:
        versions = versions[1:]
    text = form.data.get("text", "") if form.is_bound else ""
    agreed = agreed_by(contest) if row.committee else {}
    return page(
        request,
        "key.html",
        contest,
        status,
        judged=judged,
        row=row,
        form=form,
        which=which or WhichForm(),
        why=why or WhyForm(),
        typed_now=typed_now,
        notice=notice,
        versions=[(version, key_pages.show_key(version), agreed.get(version.pk, [])) for version in versions],
        dispute_shown=key_pages.show_key(row.dispute) if row.dispute else None,
        latest_shown=key_pages.show_key(row.latest) if row.latest and not row.blind else None,
        hidden_shown=key_pages.show_key(row.latest) if row.latest and row.blind and request.is_superintendent else None,
        example=example(judged.animals),
        plain=judged.animals == ANIMALS,
        changing=row.latest is not None and not row.blind and not row.dispute,
        cards=_cards(judged) if row.latest else 0,
        outbox=outbox.outbox_of(request, contest, ROOM),
        **_preview(judged, text),
    )
