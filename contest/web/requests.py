"""The request as our views get it: what the middleware puts into it, by its types."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib.auth.models import AnonymousUser, User
from django.http import HttpRequest

if TYPE_CHECKING:
    from django_htmx.middleware import HtmxDetails

    from contest.models import Helper


class Request(HttpRequest):
    """`helper` is the helper whose device asks, or None; `who` the name for the trail, empty for a stranger."""

    user: User | AnonymousUser
    helper: Helper | None
    is_superintendent: bool
    who: str
    htmx: HtmxDetails
