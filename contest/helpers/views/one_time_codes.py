"""The page on which a superintendent sets up one-time codes for their own account. What is secret is shown once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth.models import User
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import open_to_every_superintendent
from contest.changes.exceptions import NotPossible
from contest.helpers.forms import PasswordAndCodeForm
from contest.helpers.one_time_codes import address_for_apps, begin, confirm, key_of, renew_recovery_codes, take_off
from contest.helpers.second_step import code_trouble
from contest.helpers.views.accounts import once_shown
from contest.web.requests import Request
from contest.web.square_codes import svg_of
from contest.web.submissions import submission_of, submitted, was_made


@open_to_every_superintendent
@never_cache
@require_safe
def own_codes(request: Request) -> HttpResponse:
    """Whether one's own account asks for codes; the key for an app while it is not confirmed."""
    return _show(request)


@open_to_every_superintendent
@never_cache
@require_POST
def begin_codes(request: Request) -> HttpResponse:
    try:
        submitted(request, lambda: begin(_own(request)))
    except NotPossible as problem:
        return _show(request, problem=str(problem), status=409)
    return redirect("own-codes")


@open_to_every_superintendent
@never_cache
@require_POST
def confirm_codes(request: Request) -> HttpResponse:
    return _with_code(request, confirm)


@open_to_every_superintendent
@never_cache
@require_POST
def renew_codes(request: Request) -> HttpResponse:
    return _with_code(request, renew_recovery_codes)


@open_to_every_superintendent
@never_cache
@require_POST
def codes_off(request: Request) -> HttpResponse:
    def off(user: User) -> str:
        take_off(user, user.get_username())
        return ""

    return _with_code(request, off)


def _with_code(request: Request, change: Callable[[User], str]) -> HttpResponse:
    """Make a change that the password and a code allow, and show the recovery codes that it makes."""
    if was_made(submission_of(request)):  # a second click: its code is used up, and must not count as a wrong one
        return redirect("own-codes")
    user, form = _own(request), PasswordAndCodeForm(request.POST)
    status = 422
    if form.is_valid():
        if user.check_password(form.cleaned_data["now"]):
            status = code_trouble(request, user, form)
        else:
            form.add_error("now", _("That is not the password you have now."))
    if form.errors:
        return _show(request, form=form, status=status)
    try:
        codes = once_shown(request, lambda: change(user))
    except NotPossible as problem:
        return _show(request, problem=str(problem), status=409)
    return _show(request, codes=codes.split()) if codes else redirect("own-codes")


def _own(request: Request) -> User:
    assert isinstance(request.user, User)  # the views are the superintendents'
    return request.user


def _show(request: Request, status: int = 200, **context: Any) -> HttpResponse:
    key = key_of(_own(request))
    shown: dict[str, Any] = {"key": key, "form": PasswordAndCodeForm(), **context}
    if key and key.confirmed_at:
        shown["left"] = key.recovery_codes.count()
    elif key:
        shown["picture"] = svg_of(address_for_apps(key))
        shown["secret"] = " ".join(key.secret[start : start + 4] for start in range(0, len(key.secret), 4))
    return render(request, "contest/accounts/one_time_codes.html", shown, status=status)
