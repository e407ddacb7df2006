"""The organisations that share a machine, for whoever runs it: what they are, and one more. Never what is theirs."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import User
from django.db.models import Count, IntegerField, Max, OuterRef, Q, Subquery
from django.db.models.functions import Coalesce
from django.http import Http404, HttpResponse
from django.shortcuts import render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from contest.access import of_the_machine
from contest.changes.exceptions import NotPossible
from contest.helpers.forms import OrganisationForm
from contest.helpers.invitations import make_organisation
from contest.helpers.joining import tidy
from contest.helpers.views.accounts import once_shown
from contest.models import Contest, Organisation
from contest.models.organisations import reaching
from contest.web.requests import Request
from contest.web.submissions import submission_of, was_made


@of_the_machine
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def organisations(request: Request) -> HttpResponse:
    """All of them; whoever runs the machine, and will still do with another on it, makes one more."""
    if request.method != "POST":
        return _show(request)
    if not isinstance(request.user, User) or not request.user.is_superuser:
        raise Http404("Another organisation is who runs the machine's to make.")
    if was_made(submission_of(request)):
        return _show(request, made=True)
    form = OrganisationForm(request.POST, first_is_named=_first_is_named())
    if not form.is_valid():
        return _show(request, form=form, status=422)
    name, first = tidy(form.cleaned_data["name"]), tidy(form.cleaned_data.get("first", ""))
    try:
        secret = once_shown(request, lambda: make_organisation(name, first, request.who))
    except NotPossible as problem:
        return _show(request, form=form, problem=str(problem), status=409)
    return _show(request, made=True, link=secret and request.build_absolute_uri(resolve_url("invited", secret)))


def _show(request: Request, status: int = 200, **context: Any) -> HttpResponse:
    form = OrganisationForm(first_is_named=_first_is_named())
    shown = {"organisations": _all(), "form": form, **context}
    return render(request, "contest/accounts/organisations.html", shown, status=status)


def _first_is_named() -> bool:
    return Organisation.objects.exclude(name="").exists()


def _all() -> list[Organisation]:
    """Each with how many accounts and contests it has, and when anybody of it signed in last."""
    contests = Contest.every.filter(organisation=OuterRef("pk"), deleted_at=None).order_by().values("organisation")
    found = Organisation.objects.annotate(
        people=Count("memberships", filter=Q(memberships__user__is_active=True)),
        seen=Max("memberships__user__last_login"),
        contests=Coalesce(Subquery(contests.values(count=Count("pk")), output_field=IntegerField()), 0),
    )
    with reaching(None):
        return list(found.order_by("name", "pk"))
