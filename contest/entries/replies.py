"""How the pages of this area answer: with the contest at hand, and with a word on what was just done."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.translation import gettext_lazy

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.history.offering import offered
from contest.models import Contest
from contest.web.requests import Request
from contest.web.submissions import submitted

SAID = "entries-said"
SENT_BEFORE = gettext_lazy(
    "This form was sent before with something else in it. Load the page again, then change what you meant to."
)
AS_SHOWN = gettext_lazy(
    "The entries, or your choices, are others than those shown here before. Look again, then confirm."
)


class Trouble(Exception):
    """Raised for a change that was not made, with the words for it and how to answer; `field` is whose fault it is."""

    def __init__(self, text: str, status: int = 422, field: str | None = None) -> None:
        super().__init__(text)
        self.text = text[:1].upper() + text[1:]
        self.status = status
        self.field = field


def attempt(request: Request, work: Callable[[], Any]) -> Any:
    """Make the change that a form asks for, once, and return its outcome. Raises Trouble where it cannot be made."""
    try:
        return submitted(request, work)
    except SubmissionReused:
        raise Trouble(str(SENT_BEFORE)) from None
    except NotPossible as reason:
        raise Trouble(str(reason), field=getattr(reason, "field", None)) from reason


def done(request: Request, text: str, *where: Any, **kwargs: Any) -> HttpResponse:
    """Go on to another page, which says what was done. The words may hold a name: they never go into an address."""
    request.session[SAID] = text
    return redirect(resolve_url(*where, **kwargs))


def show(request: Request, template: str, contest: Contest, context: dict[str, Any], status: int = 200) -> HttpResponse:
    """A page of this area, with what was said on the page before."""
    said = request.session.pop(SAID, "")
    frame = {"contest": contest, "rules": contest, "revision": contest.revision, "said": said}
    frame["offer"] = offered(request, contest)
    response = render(request, f"contest/entries/{template}", frame | context, status=status)
    response.headers["Cache-Control"] = "private, no-store"  # names stay on no device
    return response
