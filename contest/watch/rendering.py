"""What the pages of this area have in common."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from contest.models import Contest
from contest.slips.slip import Place
from contest.web.requests import Request


def page(
    request: Request, template: str, contest: Contest, status: int = 200, folder: str = "watch", **shown: Any
) -> HttpResponse:
    """A page of a contest, made anew for every request: it shows what is secret, so no browser keeps it."""
    context = {"contest": contest, "rules": contest, "revision": contest.revision, **shown}
    response = render(request, f"contest/{folder}/{template}", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response


def address_of(done: str, contest: Contest, place: Place) -> str:
    """Where is sent what is done about a slip: to `decide` it, or to say that its number was `misread`."""
    return reverse(f"{done}-{place.name}", args=[contest.pk, *place.args])
