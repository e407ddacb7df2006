"""Superintendents have accounts of their own, made in the browser by one of them."""

import re
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client

from contest.models import Duty
from tests.factories import a_contest
from tests.trails import trail_of

pytestmark = pytest.mark.django_db
PAGE = "/superintendents/"


def post(client, address, **fields):
    return client.post(address, {"submission": uuid4(), **fields})


def password_on(response):
    return re.search(r'class="password">([^<]+)<', response.content.decode())[1]


def signed_in(name, password):
    client = Client()
    client.post("/sign-in/", {"name": name, "password": password})
    return client


def reaches(client):
    return client.get(PAGE).status_code == 200


class TestAdding:
    def test_a_new_one_signs_in_with_the_password_that_is_shown_once(self, superintendent):
        form = {"submission": uuid4(), "name": "  Sue  Ostrander "}
        response = superintendent.post(PAGE, form)
        assert "no-store" in response.headers["Cache-Control"]
        assert reaches(signed_in("Sue Ostrander", password_on(response)))
        again = superintendent.post(PAGE, form)
        assert "shown once" in again.content.decode()
        assert 'class="password"' not in again.content.decode()
        assert User.objects.count() == 2

    def test_it_is_in_the_trail_by_name_and_the_password_is_not(self, superintendent):
        password = password_on(post(superintendent, PAGE, name="Sue"))
        entry = trail_of(None)[-1]
        assert (entry.by, entry.what, entry.after) == ("superintendent", "account made", {"person": "Sue"})
        assert password not in repr(trail_of(None))

    @pytest.mark.parametrize("name", ["SUPERINTENDENT", "ann", ""])
    def test_a_name_of_somebody_here_is_refused_and_stays_typed(self, superintendent, as_helper, name):
        as_helper(a_contest(), Duty.KEYS, "Ann")
        response = post(superintendent, PAGE, name=name)
        assert response.status_code == 422
        assert f'value="{name}"' in response.content.decode() or not name
        assert User.objects.count() == 1


class TestPasswords:
    def test_a_new_one_puts_every_device_out_that_had_the_old_one(self, superintendent):
        old = password_on(post(superintendent, PAGE, name="Sue"))
        sue, account = signed_in("Sue", old), User.objects.get(username="Sue")
        new = password_on(post(superintendent, f"{PAGE}{account.pk}/password/"))
        assert not reaches(sue)
        assert not reaches(signed_in("Sue", old))
        assert reaches(signed_in("Sue", new))
        assert reaches(superintendent)

    def test_ones_own_is_chosen_and_this_device_stays_in(self, superintendent):
        first = password_on(post(superintendent, PAGE, name="Sue"))
        here, there = signed_in("Sue", first), signed_in("Sue", first)
        assert post(here, f"{PAGE}password/", now=first, new="an-unlikely-one").status_code == 200
        assert (reaches(here), reaches(there)) == (True, False)
        assert reaches(signed_in("Sue", "an-unlikely-one"))
        assert [entry.what for entry in trail_of(None) if entry.by == "Sue"].count("new password") == 1

    @pytest.mark.parametrize(
        ("now", "new", "said"), [("wrong", "an-unlikely-one", "not the password you have"), (None, "1234", "too short")]
    )
    def test_a_wrong_old_one_and_a_weak_new_one_are_refused(self, superintendent, now, new, said):
        first = password_on(post(superintendent, PAGE, name="Sue"))
        sue = signed_in("Sue", first)
        response = post(sue, f"{PAGE}password/", now=now or first, new=new)
        assert response.status_code == 422
        assert said in response.content.decode()
        assert reaches(signed_in("Sue", first))


class TestSwitchingOff:
    def test_they_are_out_at_once_and_stay_out_when_switched_on(self, superintendent):
        password = password_on(post(superintendent, PAGE, name="Sue"))
        sue, account = signed_in("Sue", password), User.objects.get(username="Sue")
        assert reaches(sue)
        post(superintendent, f"{PAGE}{account.pk}/off/")
        assert not reaches(sue)
        assert not reaches(signed_in("Sue", password))
        new = password_on(post(superintendent, f"{PAGE}{account.pk}/password/"))
        assert not reaches(sue)
        assert reaches(signed_in("Sue", new))

    def test_the_last_one_stays(self, superintendent):
        response = post(superintendent, f"{PAGE}{User.objects.get().pk}/off/")
        assert response.status_code == 409
        assert "last account" in response.content.decode()
        assert reaches(superintendent)

    def test_an_account_that_is_not_there_is_not_found(self, superintendent):
        assert post(superintendent, f"{PAGE}999/off/").status_code == 404


def test_helpers_and_strangers_see_none_of_it(client, as_helper):
    assert client.get(PAGE).status_code == 302
    assert as_helper(a_contest(), Duty.KEYS).get(PAGE).status_code == 404
