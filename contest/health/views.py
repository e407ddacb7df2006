from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_safe

from contest.access import of_the_machine, open_to_all
from contest.health.banner import banner
from contest.web.readiness import not_ready
from contest.web.requests import Request
from contest.web.revisions import nothing_new


@of_the_machine
@never_cache
@require_safe
def health(request: Request) -> HttpResponse:
    """What the machine has to say, for pages that are open: 204 while it is what they show."""
    now = banner()
    return nothing_new(request, now.version) or render(request, "contest/health/_health.html", {"banner": now})


@open_to_all
@require_GET
def healthz(request: Request) -> HttpResponse:
    """Says that the server answers; touches neither the database nor, without a cookie, the session."""
    return HttpResponse("ok\n", content_type="text/plain; charset=utf-8")


@open_to_all
@never_cache
@require_GET
def readyz(request: Request) -> HttpResponse:
    """Says whether a proxy should send more: 503 while the database is away or old, and before the process ends."""
    problem = not_ready()
    return HttpResponse(
        f"{problem or 'ready'}\n", content_type="text/plain; charset=utf-8", status=503 if problem else 200
    )
