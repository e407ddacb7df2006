"""The superintendent's way in."""

import pytest
from django.contrib.auth.models import User
from django.test import Client

from contest.helpers.attempts import WRONG_PASSWORDS, WRONG_PASSWORDS_OF_NAME
from contest.helpers.superintendents import make_first, readable_password, set_password
from contest.models import Duty
from tests.factories import a_contest

pytestmark = pytest.mark.django_db

PASSWORD = "hay-bale-sunrise"


@pytest.fixture
def sue():
    set_password("Sue", PASSWORD, "test")
    return User.objects.get()


def sign_in(client, name="Sue", password=PASSWORD, **more):
    return client.post("/sign-in/", {"name": name, "password": password, **more})


class TestSignIn:
    def test_the_password_opens_everything(self, client, sue):
        assert sign_in(client).url == "/"
        assert client.get(f"/contests/{a_contest().pk}/").status_code == 200

    def test_it_leads_back_to_the_page_that_was_wanted(self, client, sue):
        assert "next=%2Fcontests%2F1%2F" in client.get("/join/?next=/contests/1/").content.decode()
        assert sign_in(client, next="/contests/1/").url == "/contests/1/"
        assert client.get("/sign-in/?next=/contests/1/").url == "/contests/1/"

    @pytest.mark.parametrize("elsewhere", ["https://evil.example/", "//evil.example/", "javascript:alert(1)"])
    def test_it_never_sends_to_another_site(self, client, sue, elsewhere):
        assert sign_in(client, next=elsewhere).url == "/"

    @pytest.mark.parametrize(("name", "password"), [("Sue", "wrong"), ("Bob", PASSWORD), ("", PASSWORD), ("Sue", "")])
    def test_anything_else_is_refused_and_the_name_kept(self, client, sue, name, password):
        reply = sign_in(client, name, password)
        assert reply.status_code == 422
        assert reply.context["form"].errors
        assert f'value="{name}"' in reply.content.decode() or not name
        assert client.get("/").status_code == 302

    def test_the_session_changes_so_that_a_planted_one_is_worth_nothing(self, client, sue):
        session = client.session
        session["planted"] = True
        session.save()
        before = session.session_key
        sign_in(client)
        assert client.cookies["sessionid"].value != before

    def test_the_form_is_refused_without_its_csrf_token(self, sue):
        assert sign_in(Client(enforce_csrf_checks=True)).status_code == 403

    def test_a_helper_who_signs_in_leaves_first(self, sue, as_helper):
        client = as_helper(a_contest(), Duty.KEYS)
        sign_in(client)
        client.helper.refresh_from_db()
        assert client.helper.left_at
        assert client.get("/").status_code == 200

    def test_guessing_is_stopped_on_a_device_even_for_the_right_password(self, client, sue):
        for _ in range(WRONG_PASSWORDS.amount):
            assert sign_in(client, password="wrong").status_code == 422
        reply = sign_in(client)
        assert reply.status_code == 429
        assert "Too many wrong attempts" in reply.content.decode()
        assert client.get("/").status_code == 302
        assert sign_in(Client(REMOTE_ADDR="192.0.2.9")).status_code == 302

    def test_guessing_one_name_from_many_devices_is_stopped(self, sue):
        for number in range(WRONG_PASSWORDS_OF_NAME.amount):
            assert sign_in(Client(REMOTE_ADDR=f"192.0.2.{number}"), "sUE", "wrong").status_code == 422
        assert sign_in(Client(REMOTE_ADDR="192.0.2.99")).status_code == 429

    def test_no_single_device_can_keep_the_superintendent_out(self):
        assert WRONG_PASSWORDS.amount < WRONG_PASSWORDS_OF_NAME.amount


class TestSignOut:
    def test_it_ends_on_this_device(self, superintendent):
        assert superintendent.post("/sign-out/").url == "/sign-in/"
        assert superintendent.get("/").status_code == 302

    def test_it_is_a_post(self, superintendent):
        assert superintendent.get("/sign-out/").status_code == 405


class TestFunctions:
    def test_the_first_is_made_once_with_a_password_that_is_kept_nowhere(self):
        password = make_first()
        user = User.objects.get()
        assert user.check_password(password)
        assert password not in user.password
        assert make_first() == ""
        assert User.objects.count() == 1

    def test_readable_passwords_differ_and_would_be_allowed(self):
        made = {readable_password() for _ in range(50)}
        assert len(made) == 50
        assert set_password("superintendent", made.pop(), "test")

    def test_a_name_is_the_same_in_any_case(self, sue):
        assert set_password("SUE", "another-good-one", "test") is False
        assert User.objects.get().check_password("another-good-one")
