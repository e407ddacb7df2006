"""Guessing is hopeless, and nobody who is right is ever shut out by those who guess.

One address is often the whole hall: a hundred phones behind one access point, and the superintendent's own among
them. So nothing is held against an address, or a name, that would turn away whoever is right. What then makes
guessing hopeless is worked out for a server that does nothing else all day.

*Join codes* are looked at whatever came before. A code is nine of 27 characters, 43 bits: 7.6e12 of them. A guess
costs 6 ms of processor time, so that one process looks at 160 a second; reckoned with 1 000 a second for 24 hours and
120 codes about (ten contests of six duties and six tablets), the odds that any code is hit in such a day are 1 in 735;
at 160, 1 in 4 600.

*Passwords* cost a slow hash each, and all threads busy with those would be the end of the hall. So the checks are
made in lanes, one at a time in each, and few wait: the laptop itself, devices that have signed in before under that
name (a signed cookie tells), and everybody else. Guesses fill the last lane at most, which is about four a second;
whoever meets it full is told that nothing was looked at, and to try again. Four a second for 24 hours are 3.5e5 of
the 1.5e17 passwords that Tanbark makes (57 bits); those that people choose have twelve characters or more and are
none of the common ones.

A wrong attempt beyond twenty a minute from one address is answered 429, after it was looked at like any other: it
tells a tired helper to look at the sheet again, and a script nothing that 422 would not. Several processes count them
together, in the database; lanes are each process's own, as its threads are, so that so many processes look at so many
times four passwords a second.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from ipaddress import ip_address

from django.conf import settings
from django.db.models.functions import Now
from django.http import HttpResponse
from django.utils.translation import gettext_lazy
from limits import parse
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

from contest.changes import changes
from contest.models import WrongAttempt
from contest.trail.noting import refused_codes
from contest.web.requests import Request

TOO_OFTEN = gettext_lazy("Many wrong ones came from here within a minute. Read it once more, character by character.")
WRONG = parse("20/minute")
limiter = MovingWindowRateLimiter(MemoryStorage())

KNOWN = "tanbark-known"
KNOWN_FOR = 400 * 24 * 60 * 60
"""Seconds that a device is known after it signed in: until next year's contest, as long as browsers keep any cookie."""


class Busy(Exception):
    """Raised instead of looking at a password, where too many others are being looked at."""


class Lane:
    """Lets one at a time through; `waiting` more may wait, `patience` seconds each, for each holds a thread."""

    def __init__(self, waiting: int = 1, patience: float = 5) -> None:
        self._room = threading.BoundedSemaphore(1 + waiting)
        self._turn = threading.Lock()
        self._patience = patience

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Raises Busy."""
        if not self._room.acquire(blocking=False):
            raise Busy
        try:
            if not self._turn.acquire(timeout=self._patience):
                raise Busy
            try:
                yield
            finally:
                self._turn.release()
        finally:
            self._room.release()


here, known, others = Lane(), Lane(), Lane()


def lane_for(request: Request, name: str) -> Lane:
    """The lane in which this request's password for `name` is looked at."""
    if is_this_laptop(request):
        return here
    # Nobody else's cookie will do: whoever signed in under another name would be a guesser like any other.
    is_known = request.get_signed_cookie(KNOWN, default="", salt=KNOWN, max_age=KNOWN_FOR) == name.casefold()
    return known if is_known else others


def remember_device(response: HttpResponse, name: str) -> None:
    """Let this device be known by a cookie, now that somebody signed in on it."""
    response.set_signed_cookie(
        KNOWN,
        name.casefold(),
        salt=KNOWN,
        max_age=KNOWN_FOR,
        httponly=True,
        samesite="Lax",
        secure=settings.SESSION_COOKIE_SECURE,
    )


def is_this_laptop(request: Request) -> bool:
    """Whether the browser runs on the laptop itself. Behind a proxy everybody would seem to."""
    if settings.HTTPS or not request.META.keys().isdisjoint({"HTTP_X_FORWARDED_FOR", "HTTP_VIA"}):
        return False
    try:
        return ip_address(address_of(request)).is_loopback
    except ValueError:
        return False


def wrong_too_often(request: Request, secret: str) -> bool:
    """Count an attempt that was wrong; says whether its address has sent too many within a minute."""
    if settings.SEVERAL:
        return _counted_by_all(secret, address_of(request)) > WRONG.amount
    return not limiter.hit(WRONG, secret, address_of(request))


@changes
def _counted_by_all(secret: str, address: str) -> int:
    """Count an attempt; how many came from there within a minute, at all processes together."""
    WrongAttempt.objects.filter(at__lt=Now() - timedelta(minutes=1)).delete()
    WrongAttempt.objects.create(secret=secret, address=address)
    return WrongAttempt.objects.filter(secret=secret, address=address).count()


def code_was_wrong(request: Request) -> bool:
    """Note a join code, of a contest or a practice, that was none, and count it as `wrong_too_often` does."""
    refused_codes.note("", address_of(request))
    return wrong_too_often(request, "code")


def address_of(request: Request) -> str:
    """The address of the device that asks; behind a proxy the one that the proxy itself saw."""
    seen = str(request.META.get("HTTP_X_FORWARDED_FOR", "")).rpartition(",")[2].strip() if settings.HTTPS else ""
    try:
        return str(ip_address(seen))
    except ValueError:
        return str(request.META.get("REMOTE_ADDR", ""))
