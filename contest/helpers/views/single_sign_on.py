"""To the provider of single sign-on and back, and which account signs in so."""

from __future__ import annotations

import logging

from django.conf import settings
from django.contrib.auth.models import User
from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import open_to_all, open_to_every_superintendent
from contest.changes.exceptions import NotPossible
from contest.helpers.forms import SignInForm
from contest.helpers.single_sign_on import (
    NotVouchedFor,
    account_of,
    ask,
    connect,
    disconnect,
    forget_proof,
    proved,
    remember_proof,
    who_came_back,
)
from contest.helpers.throttling import Busy, address_of, others
from contest.helpers.views.accounts import colleague_or_404, show
from contest.helpers.views.helpers import BUSY, go_on, render_sign_in, wanted_page
from contest.trail.noting import refused_sign_ins
from contest.web.requests import Request
from contest.web.submissions import submitted

log = logging.getLogger(__name__)
BACK_TO = "elsewhere-back-to"
"""In the session: the page of ours that somebody wanted when they went to the provider."""


@open_to_all
@never_cache
@require_safe
def go_there(request: Request) -> HttpResponse:
    _must_be_there()
    request.session[BACK_TO] = wanted_page(request)
    try:
        with others.turn():
            return ask(request)
    except Busy:
        return _refused(request, str(BUSY), 503)
    except NotVouchedFor as problem:
        log.warning("the provider of single sign-on was not reached: %s", problem)
        return _refused(
            request, _("The provider does not answer just now. Try again, or sign in with a password."), 503
        )


@open_to_all
@never_cache
@require_safe
def come_back(request: Request) -> HttpResponse:
    """Sign in whoever is known to an account; whoever is known to none shows who they are, and is let in by nothing."""
    _must_be_there()
    wanted = request.session.pop(BACK_TO, "")
    try:
        with others.turn():
            known_as = who_came_back(request)
    except Busy:
        return _refused(request, str(BUSY), 503)
    except NotVouchedFor as problem:
        log.warning("single sign-on was refused: %s", problem)
        refused_sign_ins.note("", address_of(request))
        return _refused(request, _("That did not show who you are. Try again."), 403)
    user = account_of(known_as)
    if user and not request.is_signed_in:
        return go_on(request, user, wanted)
    if request.is_signed_in or wanted.startswith("/invited/"):
        remember_proof(request, known_as)
        return redirect(wanted or "superintendents")
    refused_sign_ins.note("", address_of(request))
    return _refused(request, _("Nobody here is known as who you are there. Ask an owner for an invitation."), 403)


@open_to_every_superintendent
@never_cache
@require_POST
def connect_own(request: Request) -> HttpResponse:
    """Let one's own account be signed in to by who one has just shown to be."""
    user, known_as = request.user, proved(request)
    assert isinstance(user, User)  # the view is the superintendents'
    if known_as is None:
        return redirect("superintendents")
    try:
        submitted(request, lambda: connect(user, known_as))
    except NotPossible as problem:
        return show(request, problem=str(problem), status=409)
    forget_proof(request)
    return redirect("superintendents")


@open_to_every_superintendent
@never_cache
@require_POST
def elsewhere_off(request: Request, account: int) -> HttpResponse:
    """Let an account be signed in to with its password alone: an owner's to say, and everybody's of their own."""
    user = colleague_or_404(request, account)
    assert request.membership is not None  # the view is the superintendents'
    if user != request.user and request.membership.role != request.membership.Role.OWNER:
        raise Http404("How others sign in is an owner's to say.")
    try:
        submitted(request, lambda: disconnect(user, request.who))
    except NotPossible as problem:
        return show(request, problem=str(problem), status=409)
    return redirect("superintendents")


def _must_be_there() -> None:
    if not settings.SINGLE_SIGN_ON:
        raise Http404("The settings name no provider of single sign-on.")


def _refused(request: Request, why: str, status: int) -> HttpResponse:
    return render_sign_in(request, SignInForm(), status=status, trouble=why)
