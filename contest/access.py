"""Who may see what.

The hall's network is open to everybody in the hall, and keys, cards and scores are secret until they are released. So
every view is the superintendent's alone, unless it is marked: `@open_to(Duty.TABULATOR)` also lets in the tabulators
of the contest that the address names, and `@open_to_all` lets in whoever asks. A mark is the outermost decorator, or
it is not seen. Whoever joined an event has a row as a helper in each of its contests, and is the one of the contest
that the address names.

A superintendent sees what is their organisation's, or some of its contests (`contest.models.organisations`). In what is
another's they are a stranger; what is the whole machine's is marked `@of_the_machine`, who may do what `@owners_alone`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import cache
from typing import Any, TypeVar

from django.apps import apps
from django.contrib.auth import get_user
from django.contrib.auth.models import User
from django.contrib.sessions.backends.base import SessionBase
from django.db import DEFAULT_DB_ALIAS
from django.db.models import BigIntegerField, Model, OuterRef, Q, QuerySet, Subquery
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, resolve_url
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect

from contest.changes import one_change
from contest.changes.asking import Asked, asked
from contest.disk.trouble import not_worth_a_page
from contest.models import Contest, Duty, Helper, Membership, Organisation
from contest.models.organisations import NOTHING, reach, reaching
from contest.web.requests import Request

SESSION_NAME = "helper"
OUT_HEADER = "X-Tanbark-Out"
LONGEST_WAY_BACK = 1000
"""Characters; more than any page of ours has, and less than any browser refuses to be sent to."""
SEEN_EVERY = timedelta(seconds=30)
"""How often it is written down that a helper is still there: a write for every request would queue with the cards."""

HELPER = [field.attname for field in Helper._meta.concrete_fields]
MEMBERSHIP = [field.attname for field in Membership._meta.concrete_fields]


View = TypeVar("View", bound=Callable[..., HttpResponseBase])


def open_to(*duties: Duty) -> Callable[[View], View]:
    """Mark a view that helpers of these duties may use too, each in the contest they were let into."""

    def mark(view: View) -> View:
        view.duties = frozenset(duties)  # type: ignore[attr-defined]  # a function takes attributes
        return view

    return mark


def open_to_all(view: View) -> View:
    """Mark a view that anybody may use."""
    view.open_to_all = True  # type: ignore[attr-defined]  # a function takes attributes
    return view


def open_to_the_public(view: View) -> View:
    """Mark a view that anybody may use, and that is the same for everybody, whatever their organisation."""
    view.same_for_all = True  # type: ignore[attr-defined]  # a function takes attributes
    return open_to_all(view)


def of_the_machine(view: View) -> View:
    """Mark a view of the machine that all organisations share: its administrator's alone."""
    view.of_the_machine = True  # type: ignore[attr-defined]  # a function takes attributes
    return view


def owners_alone(view: View) -> View:
    """Mark a view of who else may do what in an organisation."""
    view.owners_alone = True  # type: ignore[attr-defined]  # a function takes attributes
    return view


def open_to_every_superintendent(view: View) -> View:
    """Mark a view that names no contest, and that whoever may only some contests may use too."""
    view.open_to_every_superintendent = True  # type: ignore[attr-defined]  # a function takes attributes
    return view


def contest_for(request: Request, pk: int) -> Contest:
    """The contest, if whoever asks may see anything of it. Raises Http404."""
    if request.helper:
        if request.helper.contest_id != pk:
            raise Http404("That is no contest of this helper's.")
        return request.helper.contest
    try:
        contest: Contest = Contest.objects.get(pk=pk)
        return contest
    except Contest.DoesNotExist:
        raise Http404("There is no such contest.") from None


def contest_by_key(pk: int) -> Contest:
    """A contest that is known to be there. Nothing but its key is looked up until something else is asked of it."""
    return Contest.from_db(DEFAULT_DB_ALIAS, ["id"], [pk])


def may_use(request: Request, view: Callable[..., HttpResponseBase], kwargs: dict[str, Any]) -> bool:
    """May whoever asks use this view with these arguments of its address?

    Every address of a contest names it as `pk`, so that no view of one can forget whose helper asks.
    """
    if getattr(view, "open_to_all", False):
        return True
    if request.membership:
        return _allows(request.membership, view, kwargs)
    helper = request.helper
    return (
        helper is not None
        and helper.duty in getattr(view, "duties", ())
        and kwargs.get("pk", helper.contest_id) == helper.contest_id
    )


def _allows(membership: Membership, view: Callable[..., HttpResponseBase], kwargs: dict[str, Any]) -> bool:
    if getattr(view, "of_the_machine", False):
        return runs_the_machine(membership)
    if getattr(view, "owners_alone", False):
        return membership.role == Membership.Role.OWNER or runs_the_machine(membership)
    if membership.role != Membership.Role.SOME:
        return True
    return "pk" in kwargs or getattr(view, "open_to_every_superintendent", False)


def runs_the_machine(membership: Membership | None) -> bool:
    """May this superintendent do what concerns the machine? While there is one organisation, it is its owners'."""
    if membership is None:
        return False
    return membership.user.is_superuser or (membership.role == Membership.Role.OWNER and membership.is_alone)


class AccessMiddleware:
    """Knows who asks, and lets them no further than they may go.

    Sets `request.helper`, the Helper or None; `request.is_superintendent`, and `request.membership`, their Membership;
    and `request.who`, the name for the trail, empty for a stranger.
    """

    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        recognise(request)
        with reaching(NOTHING if request.is_superintendent else None):
            return self.get_response(request)

    def process_view(
        self, request: Request, view: Callable[..., HttpResponseBase], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        if request.is_superintendent:
            go_to_work(request, view, kwargs)
        go_into(request, kwargs)
        if may_use(request, view, kwargs):
            return None
        if request.helper or request.is_signed_in:
            raise Http404("This page belongs to another duty, contest or organisation.")
        return redirect_to_join(request)


def recognise(request: Request) -> None:
    user = request.user = get_user(request)
    request.is_superintendent = request.is_signed_in = user.is_authenticated
    request.membership = None  # until it is known what they ask for
    request.helper = None if request.is_superintendent else helper_of(request.session)
    request.who = user.get_username() if request.is_superintendent else request.helper.name if request.helper else ""
    if request.helper:
        note_seen(request.helper)


def go_to_work(request: Request, view: Callable[..., HttpResponseBase], kwargs: dict[str, Any]) -> None:
    """Let a superintendent see what is within their reach; a stranger in what an address names of another's."""
    assert isinstance(request.user, User)  # somebody is signed in
    keys = {model: kwargs[model.in_addresses] for model in _owned() if model.in_addresses in kwargs}
    named = {model: pk for model, pk in keys.items() if pk <= BigIntegerField.MAX_BIGINT}  # no row has a larger one
    with reaching(None):  # what is another's is to be told from what is not there
        membership = _membership(request.user, named)
    if membership:
        request.membership = membership
        reach(None if getattr(view, "same_for_all", False) else membership.reach)
    else:
        request.is_superintendent, request.who = False, ""
        reach(None)


def _membership(user: User, named: dict[Any, int]) -> Membership | None:
    """Whom somebody works for, if the rows that an address names are within their reach or not there: one statement."""
    for row in _by_user(*named).rows(*named.values(), user.pk):
        membership = Membership.from_db(DEFAULT_DB_ALIAS, MEMBERSHIP, row[: len(MEMBERSHIP)])
        another, *owners = row[len(MEMBERSHIP) :]
        membership.user, membership.is_alone = user, another is None
        if not any(_is_strange(membership, *one) for one in zip(named.items(), owners, strict=True)):
            return membership
    return None


def _is_strange(membership: Membership, named: tuple[type[Model], int], owner: int | None) -> bool:
    """Is a row that is there out of their reach?"""
    model, pk = named
    return owner is not None and not membership.reach.holds(model._meta.label, owner, pk)


@cache
def _by_user(*models: Any) -> Asked:
    """The membership of a user, another organisation than theirs, and whose a row of each model is by its key."""
    user = 0
    keys = range(1, len(models) + 1)
    others = Organisation.objects.exclude(pk=OuterRef("organisation")).order_by()
    owners = {
        f"owner_{key}": Subquery(model.every.filter(pk=key).order_by().values("organisation"))
        for key, model in zip(keys, models, strict=True)
    }
    rows = Membership.objects.annotate(another=Subquery(others.values("pk")[:1]), **owners).filter(user=user)
    return asked(rows.order_by().values_list(*MEMBERSHIP, "another", *owners), *keys, user)


@cache
def _owned() -> list[Any]:
    """The models whose rows are an organisation's, and that addresses name."""
    return [model for model in apps.get_models() if hasattr(model, "in_addresses")]


def helper_of(session: SessionBase) -> Helper | None:
    """The helper whose device this is. Asked anew each time, so that one who is shown out is out at once."""
    pk = session.get(SESSION_NAME)
    # Their contest is looked up where it is asked for: a desk that sends a card asks for nothing of it.
    rows = _by_key().rows(pk) if pk else ()
    helper = next((Helper.from_db(DEFAULT_DB_ALIAS, HELPER, row) for row in rows), None)
    if helper or not pk:
        return helper
    # Who joined an event is there still when the contest of their row left it, or lies in the bin.
    joined = Helper.objects.filter(pk=pk, together__isnull=False).values("together")
    return _still_in(Helper.objects.filter(together__in=joined)).first()


def go_into(request: Request, kwargs: dict[str, Any]) -> None:
    """Let whoever helps in every contest of an event be the helper of the one that an address names.

    A contest is reached by a row in it alone, and only while both are of one event.
    """
    helper, pk = request.helper, kwargs.get("pk")
    if helper is None or helper.together is None or pk in (None, helper.contest_id):
        return
    there = Helper.objects.filter(together=helper.together, contest=pk)
    of_one_event = there.filter(contest__event_place__event__places__contest=helper.contest_id)
    request.helper = _still_in(of_one_event).first() or helper


def _still_in(helpers: QuerySet[Helper]) -> QuerySet[Helper]:
    return helpers.filter(left_at=None, contest__deleted_at=None).order_by("pk")


@cache
def _by_key() -> Asked:
    """The helper of a key, if they are still in: asked for every card."""
    anybody = 1
    return asked(_still_in(Helper.objects.filter(pk=anybody)).values_list(*HELPER), anybody)


def note_seen(helper: Helper) -> None:
    now = timezone.now()
    if helper.seen_at < now - SEEN_EVERY:
        rows = Q(pk=helper.pk) if helper.together is None else Q(together=helper.together)
        with not_worth_a_page(), one_change():
            Helper.objects.filter(rows, seen_at__lt=now - SEEN_EVERY).update(seen_at=now)


def redirect_to_join(request: Request) -> HttpResponse:
    """Answer whoever is not let in, in the way that what they sent can make use of.

    A page becomes the join page, also under htmx. A script that asked for data is told 401, with a header that says
    that its helper is out, so that a desk can say so and keep what it has not sent yet.
    """
    accepted = request.headers.get("Accept", "text/html")
    if not request.htmx and "text/html" not in accepted:
        out = HttpResponse(_("Join the contest first.") + "\n", status=401, content_type="text/plain; charset=utf-8")
        out.headers[OUT_HEADER] = "1"
        return out
    page = page_to_come_back_to(request)
    where = resolve_url("join") + (f"?{urlencode({'next': page})}" if page else "")
    return HttpResponseClientRedirect(where) if request.htmx else redirect(where)


def page_to_come_back_to(request: Request) -> str:
    """The page that was asked for, or that asks for a part of itself; empty for a form, and for what is no address."""
    if request.htmx:
        try:
            page = request.htmx.current_url_abs_path or ""
        except ValueError:  # the header says what a script wants it to
            return ""
    else:
        page = request.get_full_path() if request.method in {"GET", "HEAD"} else ""
    return page if len(page) <= LONGEST_WAY_BACK else ""
