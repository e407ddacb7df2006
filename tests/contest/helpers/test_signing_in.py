"""The superintendent's way in."""

import threading
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.test import Client
from django.utils import timezone

from contest.helpers import throttling
from contest.helpers.sessions import forget_expired
from contest.helpers.superintendents import make_first, readable_password, set_password
from contest.helpers.throttling import KNOWN, WRONG, Busy, Lane, address_of, lane_for
from contest.models import Duty
from contest.serving.child import NOW_AND_AGAIN
from tests.factories import a_contest

pytestmark = pytest.mark.django_db

PASSWORD = "hay-bale-sunrise"
HALL = "192.0.2.7"


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

    def test_wrong_ones_without_end_keep_nobody_out_who_is_right(self, sue):
        """The right password comes from the address that guesses, from a device that nobody knows."""
        statuses, guesser = Counter(), Client(REMOTE_ADDR=HALL)
        for number in range(400):
            statuses[sign_in(guesser, password=f"guess-{number}").status_code] += 1
            if number % 200 == 199:
                assert sign_in(Client(REMOTE_ADDR=HALL)).status_code == 302
        assert set(statuses) == {422, 429}
        assert statuses[422] >= WRONG.amount  # more only where this takes minutes

    def test_a_wrong_one_too_many_says_so_in_words(self, client, sue):
        for _ in range(WRONG.amount):
            assert sign_in(client, password="wrong").status_code == 422
        reply = sign_in(client, password="wrong")
        assert reply.status_code == 429
        assert "Many wrong ones came from here" in reply.content.decode()
        assert sign_in(Client(REMOTE_ADDR=HALL), password="wrong").status_code == 422


class TestLanes:
    """What guesses can fill is a lane; the laptop itself and devices that were in before have lanes of their own."""

    @pytest.fixture
    def flooded(self, monkeypatch):
        """Guesses fill the lane of those whom nobody knows."""
        monkeypatch.setattr(throttling, "others", Lane(waiting=0))
        with throttling.others.turn():
            yield

    def test_whoever_meets_it_full_is_told_that_nothing_was_looked_at(self, sue, flooded):
        reply = sign_in(Client(REMOTE_ADDR=HALL))
        assert reply.status_code == 503
        assert "this was not looked at" in reply.content.decode()

    def test_the_laptop_itself_signs_in_all_the_same(self, sue, flooded):
        for address in "127.0.0.1", "::1":
            assert sign_in(Client(REMOTE_ADDR=address)).status_code == 302

    def test_a_device_that_signed_in_before_does_so_again(self, sue, monkeypatch):
        device = Client(REMOTE_ADDR=HALL)
        assert sign_in(device).status_code == 302
        device.post("/sign-out/")
        monkeypatch.setattr(throttling, "others", Lane(waiting=0))
        with throttling.others.turn():
            assert sign_in(device).status_code == 302

    @pytest.mark.parametrize("cookie", ["sue", "sue:1:2", "\\000", ""])
    def test_a_cookie_that_is_made_up_helps_nobody(self, sue, flooded, cookie):
        device = Client(REMOTE_ADDR=HALL)
        device.cookies[KNOWN] = cookie
        assert sign_in(device).status_code == 503

    def test_a_device_of_somebody_else_guesses_among_the_others(self, sue, monkeypatch):
        set_password("Tom", PASSWORD, "terminal")
        device = Client(REMOTE_ADDR=HALL)
        assert sign_in(device, "Tom").status_code == 302
        device.post("/sign-out/")
        monkeypatch.setattr(throttling, "others", Lane(waiting=0))
        with throttling.others.turn():
            assert sign_in(device, "Sue").status_code == 503
            assert sign_in(device, "Tom").status_code == 302

    def test_behind_a_proxy_nobody_is_the_laptop_itself(self, sue, flooded, settings):
        assert sign_in(Client(headers={"X-Forwarded-For": "10.0.0.9"})).status_code == 503
        settings.HTTPS = True
        assert sign_in(Client()).status_code == 503

    def test_one_at_a_time_is_looked_at_and_few_wait(self):
        lane, inside, most, turned_away = Lane(waiting=2, patience=20), 0, 0, 0
        start, all_came = threading.Barrier(8), threading.Event()

        def come(_):
            nonlocal inside, most, turned_away
            start.wait(timeout=20)
            try:
                with lane.turn():
                    inside += 1
                    most = max(most, inside)
                    all_came.wait(timeout=20)
                    inside -= 1
            except Busy:
                turned_away += 1
                if turned_away == 5:
                    all_came.set()

        with ThreadPoolExecutor(8) as pool:
            list(pool.map(come, range(8)))
        assert (most, turned_away) == (1, 5)

    def test_whoever_waits_too_long_gives_up_and_leaves_the_lane_as_it_was(self):
        lane = Lane(waiting=1, patience=0.01)
        with lane.turn(), pytest.raises(Busy), lane.turn():
            raise AssertionError("two at once")
        for _ in range(3):
            with lane.turn():
                pass


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


def test_sessions_that_are_over_are_cleared():
    Session.objects.create(session_key="over", session_data="", expire_date=timezone.now() - timedelta(minutes=1))
    Session.objects.create(session_key="in use", session_data="", expire_date=timezone.now() + timedelta(minutes=1))
    assert ("contest.helpers.sessions", "forget_expired") in NOW_AND_AGAIN
    forget_expired()
    assert [session.session_key for session in Session.objects.all()] == ["in use"]


class TestBehindAProxy:
    """Whose address is counted and noted, and who is taken for the laptop itself."""

    SENT = {"REMOTE_ADDR": "127.0.0.1", "HTTP_X_FORWARDED_FOR": "198.51.100.9, 192.0.2.7"}

    def test_the_device_is_the_one_that_the_proxy_saw(self, settings, rf):
        settings.HTTPS = True
        assert address_of(rf.get("/", **self.SENT)) == "192.0.2.7"

    @pytest.mark.parametrize("said", ["", "someone", "198.51.100.9,"])
    def test_a_proxy_that_says_no_address_is_the_device(self, settings, rf, said):
        settings.HTTPS = True
        assert address_of(rf.get("/", **(self.SENT | {"HTTP_X_FORWARDED_FOR": said}))) == "127.0.0.1"

    def test_without_one_nobody_says_that_they_are_another(self, settings, rf):
        settings.HTTPS = False
        assert address_of(rf.get("/", **self.SENT)) == "127.0.0.1"

    def test_who_comes_through_one_on_the_laptop_is_not_the_laptop(self, rf):
        assert lane_for(rf.get("/", REMOTE_ADDR="127.0.0.1"), "Sue") is throttling.here
        assert lane_for(rf.get("/", REMOTE_ADDR="127.0.0.1", HTTP_VIA="1.1 nginx"), "Sue") is throttling.others
