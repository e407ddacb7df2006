"""The page about the superintendents' accounts, and what is done there. A password is shown once, and kept nowhere."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.db.models import Exists, OuterRef, QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from contest.access import may_use, open_to_every_superintendent, owners_alone, runs_the_machine
from contest.changes.exceptions import NotPossible
from contest.helpers.forms import AddAccountForm, InviteForm, OwnPasswordForm
from contest.helpers.joining import NameTaken
from contest.helpers.one_time_codes import take_off
from contest.helpers.single_sign_on import proved, provider_name, way_there
from contest.helpers.superintendents import add_superintendent, change_password, renew_password, switch_off
from contest.models import OneTimeKey, SignOn
from contest.web.requests import Request
from contest.web.submissions import submitted

NO_LONGER_SHOWN = gettext_lazy(
    "This was done already, and the password is shown once. If it is lost, make another one."
)


@open_to_every_superintendent
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def superintendents(request: Request) -> HttpResponse:
    """Who runs this: every account, and a form for one more."""
    if request.method != "POST":
        return show(request)
    if not may_use(request, account_off, {}):
        raise Http404("Who may do what is an owner's to say.")
    form = AddAccountForm(request.POST)
    if not form.is_valid():
        return show(request, add=form, status=422)
    name = form.cleaned_data["name"]
    try:
        password = once_shown(request, lambda: add_superintendent(name, request.who))
    except NameTaken:
        form.add_error("name", _("Somebody is called that already. Add an initial, as in “Sue B.”."))
        return show(request, add=form, status=422)
    return show(request, made=name, password=password)


@owners_alone
@never_cache
@require_POST
def account_password(request: Request, account: int) -> HttpResponse:
    """Give an account another password."""
    user = colleague_or_404(request, account)
    password = once_shown(request, lambda: renew_password(user, request.who))
    if user == request.user and password:
        _stay_in(request)
    return show(request, made=user.get_username(), password=password)


@owners_alone
@never_cache
@require_POST
def account_off(request: Request, account: int) -> HttpResponse:
    """Let an account sign in no more."""
    user = colleague_or_404(request, account)
    try:
        submitted(request, lambda: switch_off(user, request.who))
    except NotPossible as problem:
        return show(request, problem=str(problem), status=409)
    return redirect("superintendents")


@owners_alone
@never_cache
@require_POST
def account_codes_off(request: Request, account: int) -> HttpResponse:
    """Ask somebody who lost the app with their codes for the password alone; one's own needs the password too."""
    user = colleague_or_404(request, account)
    if user == request.user:
        return redirect("own-codes")
    try:
        submitted(request, lambda: take_off(user, request.who))
    except NotPossible as problem:
        return show(request, problem=str(problem), status=409)
    return redirect("superintendents")


@open_to_every_superintendent
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
    has_code = OneTimeKey.objects.filter(user=OuterRef("pk"), confirmed_at__isnull=False)
    accounts = colleagues(request).annotate(asks_for_code=Exists(has_code))
    accounts = accounts.select_related("membership", "sign_on").order_by("-is_active", "username")
    decides, runs_it = may_use(request, account_off, {}), runs_the_machine(request.membership)
    shown = {
        "accounts": [(account, decides and (runs_it or not account.is_superuser)) for account in accounts],
        "decides": decides,
        "more_than_one": sum(account.is_active for account in accounts) > 1,
        "add": AddAccountForm(),
        "own": OwnPasswordForm(),
        "invite": InviteForm(),
        "provider": provider_name(),
        "elsewhere": way_there(resolve_url("superintendents")),
        "proved": proved(request),
        "sign_on": SignOn.objects.filter(user=request.user.pk).first(),
        "membership": request.membership,
        "no_longer_shown": NO_LONGER_SHOWN,
        **context,
    }
    return render(request, "contest/accounts/accounts.html", shown, status=status)


def colleagues(request: Request) -> QuerySet[User]:
    """The accounts of the organisation of whoever asks."""
    assert request.membership is not None  # the view is the superintendents'
    return User.objects.filter(membership__organisation=request.membership.organisation_id)


def colleague_or_404(request: Request, pk: int) -> User:
    """An account that whoever asks has a say in: with that of who runs the machine goes the machine."""
    user = get_object_or_404(colleagues(request).select_related("membership"), pk=pk)
    if user.is_superuser and not runs_the_machine(request.membership):
        raise Http404("That account runs the machine.")
    return user


def once_shown(request: Request, make: Callable[[], str]) -> str:
    """The secret that was made; empty where the form comes a second time, as it is kept nowhere."""
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
