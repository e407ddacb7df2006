"""What whoever saves is told where the disk takes nothing: in words, for a page, a part of a page and a script.

Everything that went wrong comes through here, from a view (`DiskTrouble`) and from around it (`server_error`).
Nothing half-written stays: the transaction of the change was rolled back.
"""

from __future__ import annotations

import sys
from collections.abc import Callable

from django.http import HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy
from django.views.defaults import server_error as plain_server_error

from contest.disk.trouble import (
    AWAY,
    BUSY,
    DAMAGED,
    FAILING,
    FULL,
    READ_ONLY,
    closer,
    kind_of,
    report,
    trouble,
    try_again,
)
from contest.web.requests import Request

WHY = {
    FULL: gettext_lazy("The disk of the main laptop is full"),
    READ_ONLY: gettext_lazy("The disk of the main laptop can only be read"),
    FAILING: gettext_lazy("The disk of the main laptop fails"),
    DAMAGED: gettext_lazy("The database on the main laptop is damaged"),
    AWAY: gettext_lazy("The database server does not answer"),
    BUSY: gettext_lazy("The main laptop is busy"),
}
INSUFFICIENT_STORAGE, UNAVAILABLE = 507, 503
SECRET = ("password", "code")


class DiskTrouble:
    """Answers in words where a save met a disk that takes nothing."""

    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        response = self.get_response(request)
        if request.method == "POST" and response.status_code < 400 and trouble():
            try_again()  # this one was saved, so it seems: find out
        return response

    def process_exception(self, request: Request, exception: BaseException) -> HttpResponse | None:
        return answer(request, kind_of(exception))


def server_error(request: Request) -> HttpResponse:
    """The page for what went wrong around a view: in a session, in who asks."""
    return answer(request, kind_of(sys.exc_info()[1])) or plain_server_error(request)


def answer(request: Request, kind: str) -> HttpResponse | None:
    """Tell of trouble of this kind; None for none."""
    if not kind:
        return None
    kind = closer(kind)
    report(kind)
    response = _answer(request, kind)
    # Logged once, by `report`: a dozen desks send again every few seconds.
    response._has_been_logged = True  # type: ignore[attr-defined]  # Django looks for it
    return response


def _answer(request: Request, kind: str) -> HttpResponse:
    saves = request.method not in ("GET", "HEAD")
    status = INSUFFICIENT_STORAGE if saves else UNAVAILABLE
    why = str(WHY[kind])
    if "text/html" not in request.headers.get("Accept", "text/html") and not getattr(request, "htmx", False):
        return JsonResponse({"kind": "not-saved", "text": why}, status=status)
    context = {"why": why, "saves": saves, "busy": kind == BUSY}
    if getattr(request, "htmx", False):
        response = render(request, "contest/health/_not_saved.html", context, status=status)
        # Beside what was typed, never over it; a part that asks by itself keeps what it shows.
        response.headers["HX-Retarget" if saves else "HX-Reswap"] = "#not-saved" if saves else "none"
        if saves:
            response.headers["HX-Reswap"] = "innerHTML"
        return response
    context |= {"typed": _typed(request) if saves else None}
    return render(request, "contest/health/not_saved.html", context, status=status)


def _typed(request: Request) -> list[tuple[str, str]] | None:
    """What was typed, to be sent again from the page itself; None for what a page must not carry, and for files."""
    if request.FILES or any(name in request.POST for name in SECRET):
        return None
    pairs = [(name, value) for name, values in request.POST.lists() for value in values]
    return [(name, value) for name, value in pairs if name != "csrfmiddlewaretoken"]
