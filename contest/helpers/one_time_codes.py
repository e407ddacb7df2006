"""One-time codes beside a password (RFC 6238): set up by whoever wants one, and asked for when they sign in.

A code is six digits, and one of three counts at any time, as clocks differ: 3 in a million. Whoever tries them has the
password already, so that only they can close an account's codes: after five wrong ones none is looked at for a minute,
and twice as long after each more, a day at most. That is 380 looks in a year of guessing, whose odds are 1 in 880. The
recovery codes of whoever is right count all the while: 16 of 27 characters, 76 bits, so that their digests need no
slow hash either.
"""

from __future__ import annotations

import hashlib
from datetime import datetime, timedelta

import pyotp
from django.contrib.auth.models import User
from django.utils import timezone
from django.utils.translation import gettext as _
from pyotp.exceptions import OTPVerificationError

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.codes import bare
from contest.helpers.superintendents import note_account, readable_password
from contest.models import OneTimeKey, RecoveryCode
from contest.trail import sentence

ISSUER = "Tanbark"
RECOVERY_CODES = 10
FREE_TRIES = 5
FIRST_PAUSE = timedelta(minutes=1)
LONGEST_PAUSE = timedelta(days=1)


class Closed(Exception):
    """Raised instead of looking at a code, after too many wrong ones; `until` says until when."""

    def __init__(self, until: datetime) -> None:
        self.until = until


def key_of(user: User) -> OneTimeKey | None:
    return OneTimeKey.objects.filter(user=user).first()


def asks_for_code(user: User) -> bool:
    """Whether an account is signed in to with a code besides its password."""
    return OneTimeKey.objects.filter(user=user, confirmed_at__isnull=False).exists()


def address_for_apps(key: OneTimeKey) -> str:
    """What the square code holds, by which an app takes the key."""
    return pyotp.TOTP(key.secret).provisioning_uri(name=key.user.get_username(), issuer_name=ISSUER)


@changes
def begin(user: User) -> None:
    """Make a key for an app to take, instead of one that was never confirmed."""
    _must_not_ask(user)
    OneTimeKey.objects.filter(user=user).delete()
    OneTimeKey.objects.create(user=user, secret=pyotp.random_base32())


@changes
def is_right(user: User, code: str) -> bool:
    """Does a code count? A right one is used up, a wrong one counted. Raises Closed.

    It is a change of its own, not part of what the code allows: what was counted stays when that is not possible.
    """
    key = OneTimeKey.objects.select_for_update().filter(user=user).first()
    if key is None:
        return False
    now = timezone.now()
    typed = bare(code)
    is_recovery = bool(key.recovery_codes.filter(digest=_digest(typed)).delete()[0])
    if is_recovery:
        note_account(user.get_username(), sentence("recovery_code_used"), user)
    elif key.closed_until and now < key.closed_until:
        raise Closed(key.closed_until)
    step = None if is_recovery else step_of(key.secret, typed, now)
    right = is_recovery or (step is not None and step > key.last_step)
    key.last_step = step if right and step is not None else key.last_step
    key.wrong = 0 if right else key.wrong + 1
    key.closed_until = now + _pause(key.wrong) if key.wrong >= FREE_TRIES else None
    key.save(update_fields=["last_step", "wrong", "closed_until"])
    return right


def step_of(secret: str, code: str, now: datetime) -> int | None:
    """The half minute since 1970 whose code this is: this one, the one before or the next; None where it is of none."""
    try:
        return pyotp.TOTP(secret).verify_and_get_timecode(code, for_time=now, valid_window=1)
    except OTPVerificationError:
        return None


@changes
def confirm(user: User) -> str:
    """Ask for codes from now on, and return the recovery codes. Call it after a first code was right."""
    if not OneTimeKey.objects.filter(user=user, confirmed_at=None).update(confirmed_at=timezone.now()):
        _must_not_ask(user)
        raise NotPossible(_("no key waits to be confirmed; begin again"))
    note_account(user.get_username(), sentence("codes_on"), user)
    return _make_recovery_codes(user)


@changes
def renew_recovery_codes(user: User) -> str:
    """Make other recovery codes, and return them; the old ones count no more. Call it after a code was right."""
    codes = _make_recovery_codes(user)
    note_account(user.get_username(), sentence("recovery_codes_made"), user)
    return codes


@changes
def take_off(user: User, by: str) -> None:
    """Ask an account for its password alone. Raises NotPossible where it asks for no more already."""
    if not OneTimeKey.objects.filter(user=user, confirmed_at__isnull=False).delete()[0]:
        raise NotPossible(_("{account} is asked for no code").format(account=user))
    note_account(by, sentence("codes_off"), user)


def _make_recovery_codes(user: User) -> str:
    """The codes, with spaces between; each is kept as a digest alone."""
    key = OneTimeKey.objects.select_for_update().filter(user=user, confirmed_at__isnull=False).first()
    if key is None:
        raise NotPossible(_("{account} is asked for no code").format(account=user))
    key.recovery_codes.all().delete()
    codes = [readable_password(groups=4) for _code in range(RECOVERY_CODES)]
    RecoveryCode.objects.bulk_create(RecoveryCode(key=key, digest=_digest(bare(code))) for code in codes)
    return " ".join(codes)


def _must_not_ask(user: User) -> None:
    if asks_for_code(user):
        raise NotPossible(_("{account} is asked for a code already").format(account=user))


def _pause(wrong: int) -> timedelta:
    doubled: timedelta = FIRST_PAUSE * 2 ** min(wrong - FREE_TRIES, 11)
    return min(LONGEST_PAUSE, doubled)


def _digest(code: str) -> str:
    return hashlib.sha256(code.encode()).hexdigest()
