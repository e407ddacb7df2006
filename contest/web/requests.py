"""The request as our views get it: what the middleware puts into it, by its types."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.contrib.auth.models import AnonymousUser, User
from django.http import HttpRequest

if TYPE_CHECKING:
    from django_htmx.middleware import HtmxDetails

    from contest.models import Helper, Membership


class Request(HttpRequest):
    """`helper` is the helper whose device asks, or None; `who` the name for the trail, empty for a stranger.

    `membership` is the superintendent's part in their organisation. Whoever `is_signed_in` is a stranger all the same
    where they have none.
    """

    user: User | AnonymousUser
    helper: Helper | None
    is_signed_in: bool
    is_superintendent: bool
    membership: Membership | None
    who: str
    htmx: HtmxDetails
