"""What every page of a contest begins and ends with: finding the contest, and answering by its revision."""

import secrets
from collections.abc import Callable
from typing import Any

from django.http import HttpResponseBase
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.utils.cache import get_conditional_response
from django.utils.crypto import salted_hmac
from django.utils.translation import get_language

from contest.access import contest_for
from contest.models import Contest
from contest.records.tallying import Tallied, tallied
from contest.web.requests import Request

# A page may look different after a restart, with newer templates, though its contest did not change.
STARTED = secrets.token_hex(4)


def load_contest(request: Request, pk: int) -> tuple[Contest, Tallied]:
    """The contest and its result, for whoever may see it. Raises Http404."""
    contest = contest_for(request, pk)
    return contest, tallied(contest)


def answer(
    request: Request, template: str, contest: Contest, shown: Tallied, build: Callable[[], dict[str, Any]]
) -> HttpResponseBase:
    """Render a page made from one revision of a contest, unless the browser already has it.

    `build()` gives what the template shows; it is called only when the page has to be made.
    """
    tag = f'"{STARTED}-{contest.pk}-{shown.revision}-{_reader(request)}"'
    response = get_conditional_response(request, etag=tag)
    if response is None:
        changed = contest.trail.filter(revision=shown.revision).values_list("at", flat=True).first()
        context = {
            "contest": contest,
            "rules": shown.record.rules,
            "revision": shown.revision,
            "changed_at": changed,
            **build(),
        }
        response = render(request, template, context)
    response.headers["ETag"] = tag
    # Keep it, but ask each time; and nobody between may keep what was shown to who may see it.
    response.headers["Cache-Control"] = "private, no-cache"
    return response


def _reader(request: Request) -> str:
    """Tells whom a page was made for: it says who is signed in, its forms belong to this visit alone, and it is in
    their language."""
    get_token(request)
    told = f"{request.who}{request.META['CSRF_COOKIE']}{get_language()}"
    return salted_hmac("contest.shortcuts", told).hexdigest()[:16]
