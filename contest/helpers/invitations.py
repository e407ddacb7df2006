"""Organisations beside the first, and their people: invited by a link that lets one in, and what each may do."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Collection
from datetime import timedelta

from django.contrib.auth.models import User
from django.utils import timezone
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.joining import tidy
from contest.helpers.single_sign_on import KnownAs, connect
from contest.helpers.superintendents import make_account, must_be_free, must_leave_an_owner, take_accounts
from contest.models import Contest, Invitation, Membership, Organisation, Permit
from contest.models.organisations import Reach, reaching
from contest.trail import note, sentence

GOOD_FOR = timedelta(days=7)
MOST_OPEN = 50
"""Invitations of an organisation that nobody has used yet."""


@changes
def make_organisation(name: str, first_is_called: str, by: str) -> str:
    """Make one more organisation, and return what invites its first owner. While there was but one, that gets a name
    too. Raises NotPossible for a name that is taken, or that is missing."""
    first = Organisation.objects.order_by("pk").first() or Organisation.objects.create()
    if not first.name:
        if not first_is_called:
            raise NotPossible(_("say what the organization that is there already is called"))
        first.name = first_is_called
        first.save(update_fields=["name"])
    if not name or Organisation.objects.filter(name__iexact=name).exists():
        raise NotPossible(_("an organization needs a name that no other has"))
    made = Organisation.objects.create(name=name)
    note(by, sentence("organisation_made"), after={"organisation": name})
    return invite(made, Membership.Role.OWNER, by)


@changes
def invite(organisation: Organisation, role: str, by: str) -> str:
    """Let one more in, and return the secret of the link, which is kept nowhere. Raises NotPossible for too many."""
    Invitation.objects.filter(ends_at__lt=timezone.now()).delete()
    if organisation.invitations.count() >= MOST_OPEN:
        raise NotPossible(_("{most} invitations wait to be used already").format(most=MOST_OPEN))
    secret = secrets.token_urlsafe(24)
    organisation.invitations.create(role=role, digest=_digest(secret), by=by, ends_at=timezone.now() + GOOD_FOR)
    after = {"organisation": organisation.name}
    note(by, sentence("invited", role=sentence(f"role_{role}")), after=after, organisation=organisation.pk)
    return secret


def invitation_of(secret: str) -> Invitation | None:
    """What a link invites to; None where it was used, has ended or never was."""
    rows = Invitation.objects.filter(digest=_digest(secret), ends_at__gte=timezone.now())
    return rows.select_related("organisation").first()


@changes
def come_in(secret: str, name: str, password: str | None, known_as: KnownAs | None = None) -> User:
    """Make the account that a link invites to, and use the link up: signed in to with a password, or with single
    sign-on by whoever is known there.

    Raises NotPossible where it is used already, NameTaken, and ValidationError for a password that is easy to guess.
    """
    invitation = invitation_of(secret)
    if invitation is None or not Invitation.objects.filter(pk=invitation.pk).delete()[0]:
        raise NotPossible(_("this invitation was used already, or has ended; ask for another"))
    name = tidy(name)
    with reaching(Reach(invitation.organisation_id)):
        must_be_free(name)
        user = make_account(name, password, invitation.role, name)
        if known_as:
            connect(user, known_as)
    after = {"person": invitation.by}
    note(name, sentence("invitation_used"), after=after, organisation=invitation.organisation_id)
    return user


@changes
def give_role(membership: Membership, role: str, contests: Collection[Contest], by: str) -> None:
    """Say what somebody may do; the contests are those of one who may only some.

    Raises NotPossible for the last who may do everything.
    """
    take_accounts()
    if role != Membership.Role.OWNER:
        must_leave_an_owner(membership.user)
    Membership.objects.filter(pk=membership.pk).update(role=role)
    Permit.objects.filter(membership=membership).delete()
    if role == Membership.Role.SOME:
        Permit.objects.bulk_create(Permit(membership=membership, contest=contest) for contest in contests)
    after = {"person": membership.user.username, "contests": [contest.pk for contest in contests]}
    note(by, sentence("role_given", role=sentence(f"role_{role}")), after=after)


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
