"""How members join a practice: with its code, and a first name or a number that nobody else there has."""

from __future__ import annotations

import hashlib

from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.joining import NameTaken, alike, tidy
from contest.models import Practice, PracticeMember
from contest.practice.making import moved_on, take_practice

MOST_MEMBERS = 200
"""Far more than a club has; the coach's page shows them all."""


@changes
def join_practice(practice: Practice, name: str, device: str = "") -> PracticeMember:
    """Let somebody in; who comes back with the same name on the same device is the same member still.

    Raises NameTaken where somebody else has that name, and NotPossible where the practice was deleted, or is full.
    """
    take_practice(practice.pk)
    name = tidy(name)
    known = hashlib.sha256(device.encode()).hexdigest() if device else ""
    for member in practice.members.all():
        if alike(member.name, name):
            if known and member.device == known:
                return member
            raise NameTaken(name)
    if practice.members.count() >= MOST_MEMBERS:
        raise NotPossible(_("the practice is full: {most} members are in").format(most=MOST_MEMBERS))
    member = practice.members.create(name=name, device=known)
    moved_on(practice)
    return member


@changes
def remove_member(member: PracticeMember) -> None:
    """Delete somebody, and all that they handed in, for good."""
    take_practice(member.practice_id)
    PracticeMember.objects.filter(pk=member.pk).delete()
    moved_on(member.practice)
