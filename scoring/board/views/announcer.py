"""The announcer's page: the queue, the script, and the moves that the board follows."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for, open_to
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Duty
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, revision_of
from contest.web.submissions import submitted
from scoring.board.announcing import Script, script_of
from scoring.board.ceremony import MOVES, Moved, move_on
from scoring.board.choosing import darken
from scoring.board.forms import ChangeForm, MoveForm, QueueForm
from scoring.board.queue import queue_lists, read_places, shift, take_out, takes_away

ASKS_EVERY = {True: 0.9, False: 2}
"""Seconds between two questions of an announcer's device: during a ceremony, and else."""


@open_to(Duty.ANNOUNCER)
@require_safe
def announcer(request: Request, pk: int) -> HttpResponse:
    """The script and the queue. Poll for the script: a second device stays in step, and asks for the queue anew where
    it was changed."""
    if is_poll(request):
        return nothing_new(request, str(revision_of(pk))) or show_stage(request, contest_for(request, pk))
    template = "_queue.html" if "queue" in request.GET else "announcer.html"
    return show(request, contest_for(request, pk), template=template)


@open_to(Duty.ANNOUNCER)
@require_POST
def move(request: Request, pk: int, move: str) -> HttpResponse:
    """Move the ceremony on; 409, and nothing done, where another device was faster."""
    contest = contest_for(request, pk)
    form = MoveForm(request.POST)
    if move not in MOVES or not form.is_valid():
        raise Http404("There is no such move.")
    said, status = "", 200
    try:
        submitted(
            request, lambda: move_on(contest, request.who, move, form.cleaned_data["step"], form.cleaned_data["to"])
        )
    except Moved as moved:
        said, status = _("Not done: {why}. This is where it is now.").format(why=moved), 409
    except NotPossible as problem:
        said, status = _("Not done: {why}.").format(why=problem), 422
    contest.refresh_from_db()
    if request.htmx:
        return show_stage(request, contest, said, status)
    return show(request, contest, said=said, status=status) if said else redirect("announcer", pk)


@open_to(Duty.ANNOUNCER)
@require_POST
def darken_board(request: Request, pk: int) -> HttpResponse:
    """Let the board be dark, or light again: two who press at once wish the same."""
    contest = contest_for(request, pk)
    submitted(request, lambda: darken(contest, request.POST.get("dark") == "1", request.who))
    contest.refresh_from_db()
    return show_stage(request, contest) if request.htmx else redirect("announcer", pk)


@open_to(Duty.ANNOUNCER)
@require_POST
def queue(request: Request, pk: int) -> HttpResponse:
    """Queue lists."""
    contest = contest_for(request, pk)
    form = QueueForm(request.POST, others=script_of(contest).others, takes_away=takes_away(contest))
    if form.is_valid():
        try:
            submitted(request, lambda: queue_lists(contest, form.keys, form.cleaned_data["places"], request.who))
        except NotPossible as problem:
            form.add_error("lists", str(problem))
        else:
            return redirect("announcer", pk)
    return show(request, contest, form=form, status=422)


@open_to(Duty.ANNOUNCER)
@require_POST
def change(request: Request, pk: int, award_list: int) -> HttpResponse:
    """Move a queued list up or down, take it out, or read other places of it."""
    contest = contest_for(request, pk)
    form = ChangeForm(request.POST)
    problem = ""
    if form.is_valid():
        wish = form.cleaned_data["wish"]
        try:
            if wish in ("up", "down"):
                submitted(request, lambda: shift(contest, award_list, wish, request.who))
            elif wish == "out":
                submitted(request, lambda: take_out(contest, award_list, request.who))
            else:
                submitted(request, lambda: read_places(contest, award_list, form.cleaned_data["places"], request.who))
        except NotPossible as refused:
            problem = _("Not done: {why}.").format(why=refused)
        else:
            where = f"#queued-{award_list}-{wish}" if wish != "out" else "#queue"
            response = redirect("announcer", pk)
            response.headers["Location"] += where
            return response
    if not problem:
        why = "; ".join(str(error) for errors in form.errors.values() for error in errors)
        problem = _("Not done: {why}").format(why=why)
    return show(request, contest, refused=problem, typed=(award_list, request.POST.get("places", "")), status=422)


def show(
    request: Request,
    contest: Contest,
    said: str = "",
    refused: str = "",
    form: QueueForm | None = None,
    typed: tuple[int, str] | None = None,
    status: int = 200,
    template: str = "announcer.html",
) -> HttpResponse:
    script = script_of(contest, typed)
    context = {
        **_context(contest, script, said),
        "form": form or QueueForm(others=script.others),
        "takes_away": takes_away(contest),
        "refused": refused,
    }
    return _private(render(request, f"scoring/board/{template}", context, status=status))


def show_stage(request: Request, contest: Contest, said: str = "", status: int = 200) -> HttpResponse:
    context = _context(contest, script_of(contest), said)
    return _private(render(request, "scoring/board/_stage.html", context, status=status))


def _context(contest: Contest, script: Script, said: str) -> dict[str, Any]:
    return {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "script": script,
        "asks_every": ASKS_EVERY[script.stage.running],
        "said": said,
    }


def _private(response: HttpResponse) -> HttpResponse:
    response.headers["Cache-Control"] = "no-store"
    return response
