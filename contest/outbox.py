"""What the outbox of a device is told (`static/js/desk-outbox.js`): what somebody typed is kept there until the server
has answered for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any
from uuid import UUID

from django.core.exceptions import BadRequest
from django.http import Http404, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from contest.access import OUT_HEADER, open_to_all
from contest.changes import SubmissionReused
from contest.models import Contest
from contest.web.requests import Request
from contest.web.submissions import was_made


def shelf_of(request: Request, contest: Contest, room: str) -> str:
    """What a device keeps unsent readings under: this very contest, and the reader's name.

    A helper who was shown out comes back as a new helper under the old name, and finds the readings again; but who
    comes back with another duty must not try to send what only the earlier one may. The time of the contest's first
    change tells it from another contest that has its number in another database.
    """
    began = contest.trail.values_list("at", flat=True).first()
    shelf = f"{contest.pk}-{began.timestamp() if began else 0:.0f}-{request.who.casefold()}"
    return f"{shelf} {room}" if request.helper and room != "desk" else shelf


def outbox_of(request: Request, contest: Contest, room: str) -> dict[str, Any]:
    """What a page whose forms go out by the outbox starts it with. The address `ROOM-hello` says who is let in."""
    hello_address = reverse(f"{room}-hello", args=[contest.pk])
    return {
        "desk": shelf_of(request, contest, room),
        "who": request.who,
        "room": room,
        "addresses": {"hello": hello_address},
    }


def sent_by_outbox(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Let a form of this view go out by the outbox too, which is told in its own words what became of it.

    The form says in `by` whose it is. What was done is `saved`, with the page to go to; else it was `refused`, for the
    reason that the view has given to `because`, and the page itself is had by sending the form as it stands.
    """

    @wraps(view)
    def answering(request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.method != "POST" or "text/html" in request.headers.get("Accept", "text/html"):
            return view(request, *args, **kwargs)
        if is_another(request, request.POST.get("by", "")):
            return out()
        try:
            response = view(request, *args, **kwargs)
        except Http404:
            return refused(_("What it was about is no longer there."))
        except BadRequest as problem:
            return refused(str(problem))
        except SubmissionReused:
            return refused(_("This form was sent before with something else in it."))
        if "Location" in response.headers:
            return JsonResponse({"kind": "saved", "text": "", "next": response.headers["Location"]})
        return refused(getattr(response, "because", "") or _("Open its page to see why."))

    return answering


def because(response: HttpResponse, text: str) -> HttpResponse:
    """The response, with what the outbox is told of why nothing was done."""
    response.because = text  # type: ignore[attr-defined]  # a response takes attributes
    return response


@open_to_all
@never_cache
@require_safe
def arrived(request: Request, key: UUID) -> HttpResponse:
    """Whether what a form sent has arrived: asked by a page whose form was sent and never answered."""
    return JsonResponse({"arrived": was_made(key)})


def is_another(request: Request, by: str) -> bool:
    """Whether the laptop has changed hands: what one helper read must never be saved as another's."""
    return by.casefold() != request.who.casefold()


def out() -> HttpResponse:
    return HttpResponse(_("Somebody else has joined on this laptop.") + "\n", status=401, headers={OUT_HEADER: "1"})


def hello(request: Request, desk: str) -> HttpResponse:
    """Tells a device that was shut out that it is let in again, and to which shelf; its old token would be refused."""
    return JsonResponse({"desk": desk, "token": get_token(request)})


def refused(text: str) -> JsonResponse:
    return JsonResponse({"kind": "refused", "text": text}, status=422)
