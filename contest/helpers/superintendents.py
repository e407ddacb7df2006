"""The superintendents: whoever signs in with a password may do everything."""

from __future__ import annotations

import secrets

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.codes import ALPHABET
from contest.helpers.joining import NameTaken, alike, tidy
from contest.models import Helper
from contest.trail import note, sentence
from contest.trail.names import TERMINAL

FIRST_NAME = "superintendent"


@changes
def set_password(name: str, password: str, by: str) -> bool:
    """Give a superintendent a password; says whether they are new. Every device signed in with an old one is out.

    An account that is switched off is on again. Raises ValidationError for a password that is easy to guess.
    """
    user = User.objects.filter(username__iexact=name).first() or User(username=name)
    validate_password(password, user)
    is_new = user.pk is None
    user.set_password(password)
    user.is_active = True
    user.save()
    note(by, sentence("account_made") if is_new else sentence("new_password"), after={"person": user.username})
    return is_new


@changes
def add_superintendent(name: str, by: str) -> str:
    """Make an account for one more superintendent, and return its first password, which is kept nowhere.

    Raises NameTaken for a name that a superintendent or a helper who is in goes by, whatever its case.
    """
    name = tidy(name)
    inside = Helper.objects.filter(left_at=None).values_list("name", flat=True)
    if any(alike(name, other) for other in [*inside, *User.objects.values_list("username", flat=True)]):
        raise NameTaken(name)
    password = readable_password()
    set_password(name, password, by)
    return password


@changes
def renew_password(account: User, by: str) -> str:
    """Give an account another password, and return it; every device signed in with it is out, and it is on again."""
    password = readable_password()
    set_password(account.username, password, by)
    return password


@changes
def change_password(account: User, old: str, new: str) -> None:
    """Choose one's own password. Raises ValidationError for one that is easy to guess, and NotPossible for a wrong old
    one. Every other device signed in with the account is out."""
    if not account.check_password(old):
        raise NotPossible(_("that is not the password you have now"))
    set_password(account.username, new, account.username)


@changes
def switch_off(account: User, by: str) -> None:
    """Let an account sign in no more; whoever is signed in with it is out at once. Raises NotPossible for the last."""
    active = list(User.objects.select_for_update().filter(is_active=True).order_by("pk"))
    if account not in active:
        raise NotPossible(_("{account} is switched off already").format(account=account))
    if len(active) == 1:
        raise NotPossible(_("that is the last account that can sign in; make another one first"))
    User.objects.filter(pk=account.pk).update(is_active=False)
    note(by, sentence("account_off"), after={"person": account.username})


def make_first() -> str:
    """Make the first superintendent and return the password, which is kept nowhere; empty where there is one."""
    if User.objects.exists():
        return ""
    password = readable_password()
    set_password(FIRST_NAME, password, TERMINAL)
    return password


def readable_password() -> str:
    """Twelve of 27 characters that do not look alike: 57 bits, far beyond what the limits let through."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(12)).lower()
    return "-".join(letters[start : start + 4] for start in (0, 4, 8))
