"""What only a process that serves alone can do: it is kept in its memory or its data folder, where no other finds it.

Of several processes, the next request may come to any. So what cannot cross is refused by all of them, in words.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _

from contest.web.requests import Request

SCANNER = _("Cards cannot be read by scanner here: its pages would lie with one process alone. Type them at the desks.")
COPIES = _("Copies are not made here: make them where PostgreSQL runs.")

ONLY_ALONE = {
    "scanning-bring": SCANNER,
    "scanning-send": SCANNER,
    "scanning-rules": SCANNER,
    "scanning-again": SCANNER,
    "copy_now": COPIES,
}
"""By the name of an address, why a form that is sent there is refused."""


class OnlyAlone:
    """Middleware of each of several processes."""

    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: Request, view: Any, args: Any, kwargs: Any) -> HttpResponse | None:
        match = request.resolver_match
        why = ONLY_ALONE.get(match.url_name or "") if match and request.method == "POST" else None
        return render(request, "contest/only_alone.html", {"why": why}, status=409) if why else None
