"""The superintendent's page of who goes on to the next level."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.entries.replies import SENT_BEFORE
from contest.history.offering import offer, offered
from contest.models import Contest
from contest.trail import sentence
from contest.trail.noting import note_fetched
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.board.awards import ListKey
from scoring.board.queue import lists_of
from scoring.core.explain import as_sentence
from scoring.core.people import whole_name
from scoring.next_level import choosing
from scoring.next_level.forms import DeclineForm, FileForm, WantedForm
from scoring.next_level.words import going_in_words, sections


@require_safe
def next_level(request: Request, pk: int) -> HttpResponse:
    return _show(request, pk)


@require_POST
def set_wanted(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    form = WantedForm(request.POST, lists=lists_of(contest))
    return _change(request, contest, form, lambda: choosing.set_list(contest, form.wanted, request.who), wanted=form)


@require_POST
def remove(request: Request, pk: int, row: int) -> HttpResponse:
    contest = contest_for(request, pk)
    return _change(request, contest, forms.Form({}), lambda: choosing.remove_list(contest, row, request.who))


@require_POST
def decline_place(request: Request, pk: int) -> HttpResponse:
    """Pass somebody over who declines."""
    contest = contest_for(request, pk)
    form = DeclineForm(request.POST)

    def work() -> None:
        said = form.cleaned_data
        choosing.decline(contest, said["kind"], said["division"], said["who"], said["reason"], request.who)

    return _change(request, contest, form, work, declining=form)


@require_POST
def comes(request: Request, pk: int, row: int) -> HttpResponse:
    """Whoever declined comes after all."""
    contest = contest_for(request, pk)
    return _change(request, contest, forms.Form({}), lambda: choosing.comes_after_all(contest, row, request.who))


@require_POST
def entries_file(request: Request, pk: int) -> HttpResponse:
    """The entries of whoever goes on, as a file. There are names in it, so it has no address to be opened by."""
    contest = contest_for(request, pk)
    form = FileForm(request.POST)
    if not form.is_valid():
        return _show(request, pk, 422, file=form)
    try:
        text = choosing.next_file(contest, form.cleaned_data["came_from"])
    except NotPossible as problem:
        return _show(request, pk, 409, trouble=as_sentence(problem))
    note_fetched(request, sentence("next_fetched"), contest)
    response = HttpResponse(text.encode("utf-8-sig"), content_type="text/csv; charset=utf-8")
    name = slugify(form.cleaned_data["came_from"] or contest.name)[:60].strip("-") or "contest"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}-next-level.csv"'
    response.headers["Cache-Control"] = "no-store"
    return response


def _change(
    request: Request, contest: Contest, form: forms.Form, work: Callable[[], Any], **extra: Any
) -> HttpResponse:
    """Make one change, and say why it cannot be made."""
    if not form.is_valid():
        return _show(request, contest.pk, 422, **extra)
    before = contest.revision
    try:
        submitted(request, lambda: work() and None)
    except SubmissionReused:
        return _show(request, contest.pk, 409, trouble=str(SENT_BEFORE), **extra)
    except NotPossible as problem:
        return _show(request, contest.pk, 422, trouble=as_sentence(problem), **extra)
    offer(request, contest, before)
    return redirect("next-level", contest.pk)


def _show(request: Request, pk: int, status: int = 200, **extra: Any) -> HttpResponse:
    with one_snapshot():
        contest = contest_for(request, pk)
        choice = choosing.choice_of(contest)
        lists = lists_of(contest)
    titles = {named.key: str(named) for named in lists}
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "offer": offered(request, contest),
        "announced": choice is not None,
        "sections": sections(choice, lambda person: whole_name(person.first_name, person.last_name)) if choice else [],
        "going": going_in_words(choice) if choice and choice.people else "",
        "lists": [
            (row, titles.get(ListKey(*wanted[:3]), " ".join(wanted[:3])), wanted)
            for row, wanted in choosing.wanted_of(contest)
        ],
        "wanted": WantedForm(lists=lists),
        "file": FileForm(initial={"came_from": contest.name}),
        **extra,
    }
    response = render(request, "scoring/next_level/next_level.html", context, status=status)
    response.headers["Cache-Control"] = "private, no-store"
    return response
