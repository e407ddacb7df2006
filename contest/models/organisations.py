"""Organisations: whose contests, practices and seasons are whose, and who works for them.

What stands at the top of a tree of rows is one organisation's (`OwnedBy`), and all below it with it. While a
superintendent asks for something, its `objects` hold what is within their reach alone; without a reach, as in commands
and for whoever asks for what is public, they hold all there is. `every` always does.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, TypeVar

from django.conf import settings
from django.db import models
from django.db.models import CheckConstraint, Q, UniqueConstraint
from django.db.models.functions import Lower
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from contest.book.text import LONGEST_TEXT

Row = TypeVar("Row", bound=models.Model)


@dataclass(frozen=True)
class Reach:
    """What one superintendent may see: all of an organisation, or only these of its contests and nothing else.

    The organisation is None for an account that belongs to none, which sees nothing.
    """

    organisation: int | None
    contests: frozenset[int] | None = None

    def holds(self, label: str, organisation: int, pk: int) -> bool:
        """Is a row of this organisation within it?"""
        if organisation != self.organisation:
            return False
        return self.contests is None or (label == CONTEST and pk in self.contests)


CONTEST = "contest.Contest"
NOTHING = Reach(None)
_reach: ContextVar[Reach | None] = ContextVar("reach", default=None)


def reach_now() -> Reach | None:
    return _reach.get()


@contextmanager
def reaching(reach: Reach | None) -> Iterator[None]:
    """Let `objects` hold what is within this reach; None is everything."""
    before = _reach.set(reach)
    try:
        yield
    finally:
        _reach.reset(before)


def reach(wanted: Reach | None) -> None:
    """The same from here on, within a `reaching`."""
    _reach.set(wanted)


def within_reach(rows: models.QuerySet[Row]) -> models.QuerySet[Row]:
    """Those of these rows that are of the organisation of whoever asks.

    Which of its contests they may is asked for at the addresses alone: what is made of a contest and kept for
    everybody, such as a board that shows a whole day, is the same whoever of the organisation looks at it first.
    """
    now = _reach.get()
    return rows if now is None else rows.filter(organisation=now.organisation)


class WithinReach(models.Manager[Row]):
    """The rows of the organisation of whoever asks."""

    def get_queryset(self) -> models.QuerySet[Row]:
        return within_reach(super().get_queryset())


class Organisation(models.Model):
    """A club, a school, a state that holds contests. A database has one from its beginning, without a name: it is shown
    nowhere until there is another."""

    name = models.CharField(max_length=LONGEST_TEXT, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [UniqueConstraint(Lower("name"), name="organisation_name_unique")]

    def __str__(self) -> str:
        return self.name


class OwnedBy(models.ForeignKey[Any, Any]):
    """The organisation that a row belongs to: of whoever makes it, and of the first where no superintendent does."""

    def __init__(self, **more: Any) -> None:
        said: dict[str, Any] = {"to": Organisation, "on_delete": models.PROTECT, "related_name": "+"}
        super().__init__(**said | more)

    def deconstruct(self) -> Any:
        name, _path, args, kwargs = super().deconstruct()
        return name, "django.db.models.ForeignKey", args, kwargs

    def pre_save(self, model_instance: models.Model, add: bool) -> Any:
        if add and getattr(model_instance, self.attname) is None:
            setattr(model_instance, self.attname, own_organisation())
        return super().pre_save(model_instance, add)


def own_organisation() -> int:
    """The organisation of whoever asks; the first, made where there is none, for a command."""
    now = _reach.get()
    if now is not None and now.organisation is not None:
        return now.organisation
    first = Organisation.objects.order_by("pk").first() or Organisation.objects.create()
    return first.pk


class Membership(models.Model):
    """Who works for an organisation: an account is of one. Somebody who works for two has an account in each."""

    class Role(models.TextChoices):
        OWNER = "owner", _("everything, and who else may")
        ALL = "all", _("every contest")
        SOME = "some", _("some contests")

    is_alone: bool
    """Whether there is no other organisation, where `contest.access` asked for it."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="membership")
    organisation = models.ForeignKey(Organisation, models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=5, choices=Role, default=Role.OWNER)

    class Meta:
        ordering = ["pk"]
        constraints = [CheckConstraint(condition=Q(role__in=["owner", "all", "some"]), name="membership_role")]

    def __str__(self) -> str:
        return f"{self.user_id} in {self.organisation_id}"

    @cached_property
    def reach(self) -> Reach:
        some = self.role == Membership.Role.SOME
        return Reach(self.organisation_id, frozenset(self.permits.values_list("contest", flat=True)) if some else None)


def organisation_of(username: str) -> int | None:
    """Whom an account works for; None for a name that is nobody's."""
    rows = Membership.objects.filter(user__username=username)
    return rows.values_list("organisation", flat=True).first()


class SignOn(models.Model):
    """Who an account is at the provider of single sign-on: `subject` is theirs for good there, which no e-mail is."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="sign_on")
    issuer = models.CharField(max_length=LONGEST_TEXT)
    subject = models.CharField(max_length=255)  # the longest that there is

    class Meta:
        ordering = ["pk"]
        constraints = [UniqueConstraint(fields=["issuer", "subject"], name="sign_on_of_one_account")]

    def __str__(self) -> str:
        return f"{self.user_id} by {self.issuer}"


class Invitation(models.Model):
    """A way in for one more, once: whoever has the link makes an account with it. `digest` is of what the link
    holds, which is kept nowhere."""

    organisation = models.ForeignKey(Organisation, models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=5, choices=Membership.Role)
    digest = models.CharField(max_length=64, unique=True)
    by = models.CharField(max_length=LONGEST_TEXT)
    ends_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [CheckConstraint(condition=Q(role__in=["owner", "all", "some"]), name="invitation_role")]

    def __str__(self) -> str:
        return f"into {self.organisation_id}"


class Permit(models.Model):
    """That somebody who may only some contests may this one."""

    membership = models.ForeignKey(Membership, models.CASCADE, related_name="permits", db_index=False)
    contest = models.ForeignKey(CONTEST, models.CASCADE, related_name="permits")

    class Meta:
        ordering = ["pk"]
        constraints = [UniqueConstraint(fields=["membership", "contest"], name="permit_once")]

    def __str__(self) -> str:
        return f"{self.contest_id} for {self.membership_id}"
