"""The page about the superintendents' accounts, and what is done there. A password is shown once, and kept nowhere."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from contest.changes.exceptions import NotPossible
from contest.helpers.forms import AddAccountForm, OwnPasswordForm
from contest.helpers.joining import NameTaken
from contest.helpers.superintendents import add_superintendent, change_password, renew_password, switch_off
from contest.web.requests import Request
from contest.web.submissions import submitted

NO_LONGER_SHOWN = gettext_lazy(
    "This was done already, and the password is shown once. If it is lost, make another one."
)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def superintendents(request: Request) -> HttpResponse:
    """Who runs this: every account, and a form for one more."""
    if request.method != "POST":
        return show(request)
    form = AddAccountForm(request.POST)
    if not form.is_valid():
        return show(request, add=form, status=422)
    name = form.cleaned_data["name"]
    try:
        password = _once(request, lambda: add_superintendent(name, request.who))
    except NameTaken:
        form.add_error("name", _("Somebody is called that already. Add an initial, as in “Sue B.”."))
        return show(request, add=form, status=422)
    return show(request, made=name, password=password)


@never_cache
@require_POST
def account_password(request: Request, account: int) -> HttpResponse:
    """Give an account another password."""
    user = get_object_or_404(User, pk=account)
    password = _once(request, lambda: renew_password(user, request.who))
    if user == request.user and password:
        _stay_in(request)
    return show(request, made=user.get_username(), password=password)


@never_cache
@require_POST
def account_off(request: Request, account: int) -> HttpResponse:
    """Let an account sign in no more."""
    user = get_object_or_404(User, pk=account)
    try:
        submitted(request, lambda: switch_off(user, request.who))
    except NotPossible as problem:
        return show(request, problem=str(problem), status=409)
    return redirect("superintendents")


@never_cache
@require_POST
def own_password(request: Request) -> HttpResponse:
    """Choose one's own password."""
    form = OwnPasswordForm(request.POST)
    if not form.is_valid():
        return show(request, own=form, status=422)
    user, passwords = request.user, form.cleaned_data
    assert isinstance(user, User)
    try:
        submitted(request, lambda: change_password(user, passwords["now"], passwords["new"]))
    except NotPossible as problem:
        form.add_error("now", f"{str(problem).capitalize()}.")
        return show(request, own=form, status=422)
    except ValidationError as problem:
        form.add_error("new", problem)
        return show(request, own=form, status=422)
    _stay_in(request)
    return show(request, changed=True)


def show(request: Request, status: int = 200, **context: Any) -> HttpResponse:
    accounts = User.objects.order_by("-is_active", "username")
    shown = {
        "accounts": accounts,
        "more_than_one": sum(account.is_active for account in accounts) > 1,
        "add": AddAccountForm(),
        "own": OwnPasswordForm(),
        "no_longer_shown": NO_LONGER_SHOWN,
        **context,
    }
    return render(request, "contest/accounts/accounts.html", shown, status=status)


def _once(request: Request, make: Callable[[], str]) -> str:
    """The password that was made; empty where the form comes a second time, as it is kept nowhere."""
    made: list[str] = []

    def work() -> None:
        made.append(make())

    submitted(request, work)
    return made[0] if made else ""


def _stay_in(request: Request) -> None:
    """Let this device stay signed in although its account has another password."""
    assert isinstance(request.user, User)  # the view is the superintendents'
    request.user.refresh_from_db()
    update_session_auth_hash(request, request.user)
