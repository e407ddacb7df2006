"""What a page that reads cards or scores is answered, in the words its script knows."""

from __future__ import annotations

import json

from django.http import HttpRequest, HttpResponse, JsonResponse

from contest.access import OUT_HEADER
from contest.reading import Fate


def sent(request: HttpRequest) -> dict:
    """What the page sent; empty where that makes no sense, so that its form says what is missing."""
    try:
        found = json.loads(request.body)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def is_another(request: HttpRequest, by: str) -> bool:
    """Whether the laptop has changed hands: what one helper read must never be saved as another's."""
    return by.casefold() != request.who.casefold()


def out() -> HttpResponse:
    return HttpResponse("Somebody else has joined on this laptop.\n", status=401, headers={OUT_HEADER: "1"})


def refused(text: str) -> JsonResponse:
    return JsonResponse({"kind": "refused", "text": text}, status=422)


def answered(fate: Fate) -> JsonResponse:
    return JsonResponse({"kind": fate.kind, "text": fate.text, "reading": fate.reading_id})


def first_error(form) -> str:
    """What is wrong with a form, in one line."""
    name, errors = next(iter(form.errors.items()))
    return f"{name}: {errors[0]}"
