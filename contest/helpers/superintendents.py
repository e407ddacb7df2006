"""The superintendents: whoever signs in with a password may do everything."""

from __future__ import annotations

import secrets

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password

from contest.changes import changes
from contest.helpers.codes import ALPHABET

FIRST_NAME = "superintendent"


@changes
def set_password(name: str, password: str) -> bool:
    """Give a superintendent a password; says whether they are new. Every device signed in with an old one is out.

    Raises ValidationError for a password that is easy to guess.
    """
    user = User.objects.filter(username__iexact=name).first() or User(username=name)
    validate_password(password, user)
    is_new = user.pk is None
    user.set_password(password)
    user.save()
    return is_new


def make_first() -> str:
    """Make the first superintendent and return the password, which is kept nowhere; empty where there is one."""
    if User.objects.exists():
        return ""
    password = readable_password()
    set_password(FIRST_NAME, password)
    return password


def readable_password() -> str:
    """Twelve of 27 characters that do not look alike: 57 bits, far beyond what the limits let through."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(12)).lower()
    return "-".join(letters[start : start + 4] for start in (0, 4, 8))
