"""Between the password and the code: who waits on which device, and what is told of a code that does not count."""

from __future__ import annotations

from datetime import timedelta

from django import forms
from django.contrib.auth.models import User
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.utils.timezone import localtime
from django.utils.translation import gettext as _

from contest.helpers.one_time_codes import Closed, is_right
from contest.helpers.throttling import TOO_OFTEN, address_of, wrong_too_often
from contest.trail.noting import refused_sign_ins
from contest.web.requests import Request

WAITING = "waits-for-code"
"""In the session: whose password was right, and when."""
PATIENCE = timedelta(minutes=10)


def wait_for_code(request: Request, user: User) -> None:
    """Remember on this device alone that somebody gave the right password."""
    request.session[WAITING] = [user.pk, user.get_session_auth_hash(), timezone.now().timestamp()]


def who_waits(request: Request) -> User | None:
    """Who gave the right password here just now, if it is still the right one."""
    pk, digest, at = request.session.get(WAITING, (None, "", 0))
    if timezone.now().timestamp() - at > PATIENCE.total_seconds():
        return None
    user = User.objects.filter(pk=pk, is_active=True).first()
    return user if user and constant_time_compare(digest, user.get_session_auth_hash()) else None


def wait_no_longer(request: Request) -> None:
    request.session.pop(WAITING, None)


def code_trouble(request: Request, user: User, form: forms.Form) -> int:
    """Look at the code of a form, and use it up if it is right: 0, or the status of an answer that says why not."""
    try:
        if is_right(user, form.cleaned_data["code"]):
            return 0
    except Closed as closed:
        told = _(
            "Too many wrong codes came for this account, and this was not looked at. Codes are looked at again from "
            "{time} on; a recovery code is at once."
        )
        form.add_error("code", told.format(time=localtime(closed.until).strftime("%H:%M:%S")))
        return 429
    refused_sign_ins.note(user.get_username(), address_of(request))
    form.add_error("code", _("That code does not count. Each counts once: wait for the app to show the next."))
    if not wrong_too_often(request, "one-time"):
        return 422
    form.add_error("code", TOO_OFTEN)
    return 429
