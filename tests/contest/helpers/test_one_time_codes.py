"""One-time codes beside the password: set up, asked for, used up, guessed at and lost."""

import re
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pyotp
import pytest
import time_machine
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client

from contest.helpers.one_time_codes import begin, confirm, is_right, key_of
from contest.helpers.superintendents import change_password, set_password
from contest.models import Membership, OneTimeKey, Organisation, RecoveryCode
from tests.accounts import an_account, signed_in
from tests.pages import html_in
from tests.trails import trail_of

pytestmark = pytest.mark.django_db

PASSWORD = "hay-bale-sunrise"
PAGE = "/superintendents/codes/"
NOON = datetime(2026, 4, 25, 12, tzinfo=UTC)


@pytest.fixture
def clock():
    with time_machine.travel(NOON, tick=False) as traveller:
        yield traveller


@pytest.fixture
def sue():
    set_password("Sue", PASSWORD, "test")
    return User.objects.get()


@pytest.fixture
def client(sue):
    client = Client()
    client.force_login(sue)
    return client


def code_of(user, offset=0):
    totp = pyotp.TOTP(key_of(user).secret)
    return totp.generate_otp(totp.timecode(datetime.now(UTC)) + offset)


def with_codes(user):
    """Its recovery codes."""
    begin(user)
    return confirm(user).split()


def post(client, act, **fields):
    return client.post(f"{PAGE}{act}/", {"submission": uuid4(), **fields})


def first_step(next_page=""):
    client = Client()
    answer = client.post("/sign-in/", {"name": "Sue", "password": PASSWORD, "next": next_page})
    assert answer.status_code == 302
    return client, answer.url


def second_step(client, code, **more):
    return client.post("/sign-in/code/", {"code": code, **more})


def is_in(client):
    return client.get("/superintendents/").status_code == 200


class TestSettingUp:
    def test_a_first_code_switches_them_on_and_recovery_codes_are_shown_once(self, client, sue, clock):
        assert post(client, "begin").url == PAGE
        page = html_in(client.get(PAGE))
        assert key_of(sue).secret in page.replace(" ", "")
        assert "data:image/svg" in page
        form = {"submission": uuid4(), "now": PASSWORD, "code": code_of(sue)}
        page = html_in(client.post(f"{PAGE}confirm/", form))
        codes = re.findall(r'class="password">([\w-]{19})<', page)
        assert len(codes) == 10
        assert client.post(f"{PAGE}confirm/", form).url == PAGE  # a second click
        later = html_in(client.get(PAGE))
        assert key_of(sue).secret not in later.replace(" ", "")
        assert not any(code in later for code in codes)
        assert not any(code in str(RecoveryCode.objects.values()) for code in codes)
        assert trail_of(None)[-1].what == "signing in asks for a one-time code"
        assert all(key_of(sue).secret not in repr(entry) for entry in trail_of(None))

    @pytest.mark.parametrize("wrong", [{"now": "another"}, {"code": "000000"}, {"code": ""}])
    def test_it_needs_the_password_and_a_right_code(self, client, sue, clock, wrong):
        begin(sue)
        assert post(client, "confirm", **{"now": PASSWORD, "code": code_of(sue), **wrong}).status_code == 422
        assert first_step()[1] == "/"

    def test_a_key_that_counts_is_not_made_again(self, client, sue):
        with_codes(sue)
        before = key_of(sue).secret
        assert post(client, "begin").status_code == 409
        assert key_of(sue).secret == before

    def test_whoever_may_some_contests_sets_them_up_too(self):
        assert signed_in("Ada", role=Membership.Role.SOME).get(PAGE).status_code == 200


class TestSigningIn:
    def test_who_set_up_none_is_asked_for_none(self, sue):
        assert first_step()[1] == "/"
        assert Client().get("/sign-in/code/").url == "/sign-in/"

    def test_the_password_alone_opens_nothing_and_the_code_leads_on(self, sue, clock):
        with_codes(sue)
        client, where = first_step("/trail/")
        assert where == "/sign-in/code/?next=%2Ftrail%2F"
        assert not is_in(client)
        assert 'value="/trail/"' in html_in(client.get(where))
        assert second_step(client, code_of(sue), next="/trail/").url == "/trail/"
        assert is_in(client)
        assert trail_of(None)[-1].what == "signed in"

    @pytest.mark.parametrize("offset", [-1, 0, 1])
    def test_a_code_counts_once_and_none_before_it(self, sue, clock, offset):
        with_codes(sue)
        code = code_of(sue, offset)
        assert second_step(first_step()[0], f" {code[:3]} {code[3:]}").url == "/"
        assert second_step(first_step()[0], code).status_code == 422
        assert second_step(first_step()[0], code_of(sue, offset - 1)).status_code == 422

    @pytest.mark.parametrize("offset", [-2, 2])
    def test_a_code_of_another_minute_does_not_count(self, sue, clock, offset):
        with_codes(sue)
        assert second_step(first_step()[0], code_of(sue, offset)).status_code == 422

    def test_a_recovery_code_counts_once(self, sue):
        codes = with_codes(sue)
        assert second_step(first_step()[0], codes[3].upper()).url == "/"
        assert second_step(first_step()[0], codes[3]).status_code == 422
        assert second_step(first_step()[0], codes[4]).url == "/"
        assert "recovery code used" in [entry.what for entry in trail_of(None)]

    def test_the_first_step_is_forgotten_after_ten_minutes_and_with_another_password(self, sue, clock):
        codes = with_codes(sue)
        slow, other = first_step()[0], first_step()[0]
        clock.shift(timedelta(minutes=11))
        assert second_step(slow, codes[0]).url == "/sign-in/"
        clock.move_to(NOON)
        change_password(sue, PASSWORD, "another-good-one")
        assert second_step(other, codes[0]).url == "/sign-in/"

    def test_who_is_switched_off_meanwhile_stays_out(self, sue):
        codes = with_codes(sue)
        client, _where = first_step()
        User.objects.update(is_active=False)
        assert second_step(client, codes[0]).url == "/sign-in/"


class TestGuessing:
    def test_after_five_wrong_ones_none_is_looked_at_for_a_time_that_doubles(self, sue, clock):
        codes = with_codes(sue)
        client, _where = first_step()
        assert [second_step(client, "000000").status_code for _guess in range(6)] == [*[422] * 5, 429]
        assert second_step(client, code_of(sue)).status_code == 429
        clock.shift(timedelta(seconds=61))
        assert second_step(client, "000000").status_code == 422
        clock.shift(timedelta(seconds=61))
        assert second_step(client, code_of(sue)).status_code == 429
        assert second_step(client, codes[0]).url == "/"  # whoever is right always comes in
        assert "sign-in refused" in [entry.what for entry in trail_of(None)]

    def test_a_year_of_guesses_is_380_looks(self, sue, clock):
        with_codes(sue)
        looks = 0
        while datetime.now(UTC) < NOON + timedelta(days=365):
            is_right(sue, "x")
            looks += 1
            clock.move_to(key_of(sue).closed_until or NOON)
        assert looks == pytest.approx(380, abs=3)

    def test_twenty_a_minute_from_one_address_are_answered_as_wrong_passwords_are(self, sue, clock):
        with_codes(sue)
        client, _where = first_step()
        for _guess in range(20):
            OneTimeKey.objects.update(wrong=0, closed_until=None)
            assert second_step(client, "000000").status_code == 422
        OneTimeKey.objects.update(wrong=0, closed_until=None)
        assert second_step(client, "000000").status_code == 429


class TestSwitchingOff:
    def test_with_password_and_code_and_not_without(self, client, sue, clock):
        with_codes(sue)
        assert post(client, "off", now="another", code=code_of(sue)).status_code == 422
        assert post(client, "off", now=PASSWORD, code="000000").status_code == 422
        assert key_of(sue).wrong == 1
        assert post(client, "off", now=PASSWORD, code=code_of(sue)).url == PAGE
        assert first_step()[1] == "/"
        assert trail_of(None)[-2].what == "signing in asks for no one-time code any more"

    def test_other_recovery_codes_take_the_place_of_the_old(self, client, sue, clock):
        old = with_codes(sue)
        page = html_in(post(client, "renew", now=PASSWORD, code=code_of(sue)))
        (new, *_more) = re.findall(r'class="password">([\w-]{19})<', page)
        assert not is_right(sue, old[0])
        assert is_right(sue, new)

    def test_another_owner_takes_them_off_and_no_one_else_does(self, sue):
        with_codes(sue)
        at = f"/superintendents/{sue.pk}/codes-off/"
        theirs = Organisation.objects.create(name="Quill Creek")
        for stranger in (signed_in("Ada", role=Membership.Role.ALL), signed_in("Eve", organisation=theirs.pk)):
            assert stranger.post(at, {"submission": uuid4()}).status_code == 404
        User.objects.filter(pk=sue.pk).update(is_superuser=False)
        owner = signed_in("Bob")
        assert "with one-time codes" in html_in(owner.get("/superintendents/"))
        assert owner.post(at, {"submission": uuid4()}).status_code == 302
        assert trail_of(None)[-1].by == "Bob"
        assert first_step()[1] == "/"
        assert owner.post(at, {"submission": uuid4()}).status_code == 409

    def test_an_owner_takes_their_own_off_with_a_code_alone(self, client, sue):
        with_codes(sue)
        answer = client.post(f"/superintendents/{sue.pk}/codes-off/", {"submission": uuid4()})
        assert answer.url == PAGE
        assert key_of(sue)

    def test_a_command_does(self, sue, capsys):
        with_codes(sue)
        call_command("superintendent", "sue", without_codes=True)
        assert "the password alone" in capsys.readouterr().out
        assert first_step()[1] == "/"
        for name in ("Sue", "Nobody"):
            with pytest.raises(CommandError):
                call_command("superintendent", name, without_codes=True)


def test_a_new_key_is_of_its_account_alone(sue):
    with_codes(sue)
    begin(an_account("Ada"))
    assert OneTimeKey.objects.values("secret").distinct().count() == 2
