"""The superintendents: whoever signs in with a password works for an organisation, and may do what their part in it
says. On a laptop there is one, and everybody may do everything."""

from __future__ import annotations

import secrets

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.codes import ALPHABET
from contest.helpers.joining import NameTaken, alike, tidy
from contest.models import Helper, Membership, Organisation
from contest.models.organisations import organisation_of, own_organisation, reach_now
from contest.trail import note, sentence
from contest.trail.names import TERMINAL
from contest.trail.sentences import Sentence

FIRST_NAME = "superintendent"


@changes
def set_password(name: str, password: str, by: str) -> bool:
    """Give a superintendent a password; says whether they are new. Every device signed in with an old one is out.

    An account that is switched off is on again. Raises ValidationError for a password that is easy to guess.
    """
    user = User.objects.filter(username__iexact=name).first()
    if user is None:
        make_account(name, password, Membership.Role.OWNER, by)
        return True
    validate_password(password, user)
    user.set_password(password)
    user.is_active = True
    user.save()
    note_account(by, sentence("new_password"), user)
    return False


def note_account(by: str, what: Sentence, account: User) -> None:
    """Note what became of an account, for the owners of its organisation to see."""
    name = account.get_username()
    note(by, what, after={"person": name}, organisation=organisation_of(name))


@changes
def make_account(name: str, password: str | None, role: str, by: str) -> User:
    """Make an account of the organisation of whoever asks. The first that a command makes runs the machine. Without a
    password nobody signs in to it with one.

    Raises ValidationError for a password that is easy to guess.
    """
    runs_it = reach_now() is None and not User.objects.filter(is_superuser=True).exists()
    user = User(username=name, is_superuser=runs_it)
    if password is not None:
        validate_password(password, user)
    user.set_password(password)
    user.save()
    Membership.objects.create(user=user, organisation_id=own_organisation(), role=role)
    note_account(by, sentence("account_made"), user)
    return user


@changes
def add_superintendent(name: str, by: str) -> str:
    """Make an account for one more superintendent, and return its first password, which is kept nowhere.

    Raises NameTaken for a name that a superintendent or a helper who is in goes by, whatever its case.
    """
    name = tidy(name)
    must_be_free(name)
    password = readable_password()
    make_account(name, password, Membership.Role.OWNER, by)
    return password


def must_be_free(name: str) -> None:
    """Raises NameTaken for a name that somebody goes by."""
    inside = Helper.objects.filter(left_at=None, contest__organisation=own_organisation())
    taken = [*inside.values_list("name", flat=True), *User.objects.values_list("username", flat=True)]
    if any(alike(name, other) for other in taken):
        raise NameTaken(name)


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
    """Let an account sign in no more; whoever is signed in with it is out at once.

    Raises NotPossible for the last that may do everything in its organisation, or on a machine that several share.
    """
    active = take_accounts()
    if account not in active:
        raise NotPossible(_("{account} is switched off already").format(account=account))
    must_leave_an_owner(account)
    if (
        account.is_superuser
        and Organisation.objects.count() > 1
        and not any(other.is_superuser for other in active if other != account)
    ):
        raise NotPossible(_("that is the last account that runs the machine; make another one first"))
    User.objects.filter(pk=account.pk).update(is_active=False)
    note_account(by, sentence("account_off"), account)


def take_accounts() -> list[User]:
    """The accounts that can sign in, alone with them until the transaction ends: two owners who each end what the other
    may do take turns, so that one stays."""
    return list(User.objects.select_for_update().filter(is_active=True).order_by("pk"))


def must_leave_an_owner(account: User) -> None:
    """Raises NotPossible where nobody else may do everything in the organisation of an account."""
    owners = Membership.objects.filter(role=Membership.Role.OWNER, user__is_active=True).exclude(user=account)
    if not owners.filter(organisation=account.membership.organisation_id).exists():
        raise NotPossible(_("that is the last account that may do everything; make another one first"))


def make_first() -> str:
    """Make the first superintendent and return the password, which is kept nowhere; empty where there is one."""
    if User.objects.exists():
        return ""
    password = readable_password()
    set_password(FIRST_NAME, password, TERMINAL)
    return password


def readable_password(groups: int = 3) -> str:
    """Four characters a group, of 27 that do not look alike: 57 bits in three, far beyond what the limits let in."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(4 * groups)).lower()
    return "-".join(letters[start : start + 4] for start in range(0, len(letters), 4))
