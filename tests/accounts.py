"""Superintendents for tests: of the first organisation, and may do everything, unless a test says otherwise."""

from django.contrib.auth.models import User
from django.test import Client

from contest.models import Membership
from contest.models.organisations import own_organisation


def an_account(name="superintendent", organisation=None, role=Membership.Role.OWNER, **more):
    user = User.objects.create_user(name, **more)
    Membership.objects.create(user=user, organisation_id=organisation or own_organisation(), role=role)
    return user


def signed_in(name="superintendent", **more):
    """A client signed in with an account of that name, made for it."""
    client = Client()
    client.force_login(an_account(name, **more))
    return client
