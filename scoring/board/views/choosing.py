"""What is on the board, chosen by the superintendent from any page."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from contest.access import LONGEST_WAY_BACK, contest_for
from contest.changes.exceptions import NotPossible
from contest.models import Contest
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.board.choosing import AUTOMATIC, choice_of, choose, options


@require_safe
def board_choice(request: Request, pk: int) -> HttpResponse:
    """Everything that could be on the board, one press each."""
    return _show(request, contest_for(request, pk), request.GET.get("next", ""))


@require_POST
def choose_board(request: Request, pk: int) -> HttpResponse:
    """Put something on the board, and go back to the page that one came from."""
    contest = contest_for(request, pk)
    back = request.POST.get("next", "")
    try:
        submitted(request, lambda: choose(contest, request.POST.get("wish", AUTOMATIC), request.who))
    except NotPossible as problem:
        return _show(request, contest, back, _("Not done: {why}.").format(why=problem), 422)
    return redirect(_way_back(back) or resolve_url("board-choice", pk))


def _show(request: Request, contest: Contest, back: str, refused: str = "", status: int = 200) -> HttpResponse:
    chosen = choice_of(contest)
    offered = options(contest)
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "is_dark": chosen.dark,
        "is_automatic": not any(option.is_chosen for option in offered),
        "options": offered,
        "back": _way_back(back),
        "refused": refused,
    }
    response = render(request, "scoring/board/choose.html", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def _way_back(address: str) -> str:
    """A page of ours, or nothing."""
    is_ours = address.startswith("/") and url_has_allowed_host_and_scheme(address, allowed_hosts=None)
    return address if is_ours and len(address) <= LONGEST_WAY_BACK else ""
