"""Guessing codes and passwords is made hopeless, not slow.

The limits must not shut out a whole team behind one access point because one of them mistypes: only wrong attempts
count. A name's own limit is above a device's, so that no single device can keep the superintendent out.
"""

from limits import parse
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

WRONG_CODES = parse("20/minute")
WRONG_PASSWORDS = parse("10/minute")
WRONG_PASSWORDS_OF_NAME = parse("30/minute")

limiter = MovingWindowRateLimiter(MemoryStorage())


class TooMany(Exception):
    """Raised instead of looking at an attempt."""


class Attempts:
    """The attempts that one request belongs to: each a limit, and whose it is."""

    def __init__(self, *limits):
        self.limits = limits

    def check(self) -> None:
        """Raise TooMany if there were too many wrong ones lately."""
        if not all(limiter.test(*limit) for limit in self.limits):
            raise TooMany

    def wrong(self) -> None:
        """Count one that was wrong."""
        for limit in self.limits:
            limiter.hit(*limit)


def code_attempts(request) -> Attempts:
    return Attempts((WRONG_CODES, "code", _device(request)))


def password_attempts(request, name: str) -> Attempts:
    return Attempts(
        (WRONG_PASSWORDS, "password", _device(request)),
        (WRONG_PASSWORDS_OF_NAME, "password of", name.casefold()),
    )


def _device(request) -> str:
    return request.META.get("REMOTE_ADDR", "")
