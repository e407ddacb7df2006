"""Where several organisations share a machine: letting people into one's own by a link, and saying what each may do."""

from __future__ import annotations

from django.contrib.auth import login
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from contest.access import SESSION_NAME, open_to_all, owners_alone
from contest.changes.exceptions import NotPossible
from contest.helpers.forms import ComeInForm, InviteForm, KnownComeInForm, RoleForm
from contest.helpers.invitations import come_in, give_role, invitation_of, invite
from contest.helpers.joining import NameTaken, leave
from contest.helpers.single_sign_on import KnownAs, forget_proof, proved, provider_name, way_there
from contest.helpers.throttling import TOO_OFTEN, wrong_too_often
from contest.helpers.views.accounts import colleague_or_404, once_shown, show
from contest.web.requests import Request
from contest.web.submissions import submitted


@owners_alone
@never_cache
@require_POST
def invite_one(request: Request) -> HttpResponse:
    """Make a link that lets one more in; it is shown once."""
    membership, form = request.membership, InviteForm(request.POST)
    assert membership is not None  # the view is the owners'
    if not form.is_valid():
        return show(request, invite=form, status=422)
    role = form.cleaned_data["role"]
    try:
        secret = once_shown(request, lambda: invite(membership.organisation, role, request.who))
    except NotPossible as problem:
        return show(request, problem=str(problem), status=409)
    link = secret and request.build_absolute_uri(resolve_url("invited", secret))
    return show(request, invited=True, link=link)


@owners_alone
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def role(request: Request, account: int) -> HttpResponse:
    """Say what somebody may do, and in which contests."""
    user = colleague_or_404(request, account)
    membership = user.membership
    begin = {"role": membership.role, "contests": list(membership.permits.values_list("contest", flat=True))}
    form = RoleForm(request.POST if request.method == "POST" else None, initial=begin)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            submitted(request, lambda: give_role(membership, typed["role"], typed["contests"], request.who))
            return redirect("superintendents")
        except NotPossible as problem:
            form.add_error("role", f"{str(problem).capitalize()}.")
    status = 422 if form.is_bound else 200
    return render(request, "contest/accounts/role.html", {"account": user, "form": form}, status=status)


@open_to_all
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def invited(request: Request, secret: str) -> HttpResponse:
    """Make the account that somebody was invited to, and sign in with it."""
    invitation = invitation_of(secret)
    if invitation is None:
        status = 429 if wrong_too_often(request, "invitation") else 404
        told = {"trouble": TOO_OFTEN if status == 429 else ""}
        return render(request, "contest/accounts/invited.html", told, status=status)
    known_as = proved(request)
    typed = request.POST if request.method == "POST" else None
    form = KnownComeInForm(typed, initial={"name": known_as.name}) if known_as else ComeInForm(typed)
    if form.is_valid():
        user = _let_in(secret, form, known_as)
        if user:
            if request.helper:
                leave(request.helper)
            request.session.pop(SESSION_NAME, None)
            forget_proof(request)
            login(request, user)
            return redirect("contests")
    status = 422 if form.is_bound else 200
    shown = {
        "invitation": invitation,
        "form": form,
        "proved": known_as,
        "provider": provider_name(),
        "elsewhere": way_there(request.path),
    }
    return render(request, "contest/accounts/invited.html", shown, status=status)


def _let_in(secret: str, form: KnownComeInForm, known_as: KnownAs | None) -> User | None:
    """The account that was made; None where the form says why not."""
    try:
        return come_in(secret, form.cleaned_data["name"], form.cleaned_data.get("password"), known_as)
    except NameTaken:
        form.add_error("name", _("Somebody is called that already. Add an initial, as in “Sue B.”."))
    except ValidationError as problem:
        form.add_error("password", problem)
    except NotPossible as problem:
        form.add_error(None, f"{str(problem).capitalize()}.")
    return None
