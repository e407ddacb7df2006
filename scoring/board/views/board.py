"""The board, for everybody."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from contest.access import open_to_all
from contest.helpers.addresses import reach
from contest.models import Contest
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, once_a_version, revision_of
from contest.web.square_codes import png_of
from scoring.announced.today import is_draft, todays_contests
from scoring.board.board_cache import Made, board_now


@open_to_all
@require_safe
def newest(request: Request) -> HttpResponse:
    """To the board of today's contest."""
    contests = todays_contests()
    if not contests:
        raise Http404("There is no contest yet.")
    return redirect("board", contests[0].pk)


@open_to_all
@require_safe
@gzip_page
def board(request: Request, pk: int) -> HttpResponse:
    """The board. A poll is answered from memory, the same for everybody; of a draft nobody outside knows."""
    if not request.who and _is_draft(pk):
        raise Http404("That contest is nobody's business yet.")
    made = board_now(pk)
    response = nothing_new(request, made.version) or (
        _packed(request, made)
        if is_poll(request)
        else render(
            request, "scoring/board/board.html", {"made": made, "pk": pk, "address": _hall_address(request, pk)}
        )
    )
    response.headers["Cache-Control"] = "no-store"
    return response


def _is_draft(pk: int) -> bool:
    """Asked for every poll: worked out once a revision and day."""
    version = f"{revision_of(pk)} {timezone.localdate()}"
    return once_a_version(f"draft-{pk}", version, lambda: is_draft(get_object_or_404(Contest, pk=pk)))


@open_to_all
@require_safe
def code(request: Request, pk: int) -> HttpResponse:
    """The way to the first page, as a square code to scan."""
    base = _hall_address(request, pk)
    if not base:
        raise Http404("No other device can reach this laptop.")
    response = HttpResponse(png_of(f"{base}/"), content_type="image/png")
    response.headers["Cache-Control"] = "no-store"
    return response


def _hall_address(request: Request, pk: int) -> str:
    """How other devices reach this laptop; empty where none can."""
    return reach(request, get_object_or_404(Contest, pk=pk)).base


def _packed(request: Request, made: Made) -> HttpResponse:
    """The live part, as small as the browser can read it: hundreds of phones share one network."""
    if "gzip" in request.headers.get("Accept-Encoding", ""):
        response = HttpResponse(made.packed)
        response.headers["Content-Encoding"] = "gzip"
    else:
        response = HttpResponse(made.html)
    patch_vary_headers(response, ["Accept-Encoding"])
    return response
