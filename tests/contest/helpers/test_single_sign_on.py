"""Single sign-on: who comes in by it, and every answer of a provider that shows nothing."""

import time
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.test import Client

from contest.checks import check_settings
from contest.helpers import single_sign_on
from contest.helpers.invitations import invite
from contest.helpers.one_time_codes import begin, confirm
from contest.helpers.single_sign_on import KnownAs, connect
from contest.models import Membership, Organisation, SignOn
from contest.models.organisations import own_organisation
from tests.accounts import an_account, signed_in
from tests.pages import html_in
from tests.provider import CLIENT, SECRET, asked_by, serving
from tests.trails import trail_of

pytestmark = pytest.mark.django_db

THERE = "/sign-in/elsewhere/"


@pytest.fixture(scope="module")
def running():
    with serving() as provider:
        yield provider


@pytest.fixture
def provider(running, settings):
    running.claims, running.signed_by, running.algorithm = {}, "own", "RS256"
    settings.SINGLE_SIGN_ON = {"issuer": running.issuer, "client_id": CLIENT, "client_secret": SECRET, "name": "Barn"}
    single_sign_on.forget_provider()
    yield running
    single_sign_on.forget_provider()


@pytest.fixture
def ada(provider):
    user = an_account("Ada")
    connect(user, KnownAs(provider.issuer, "s-17", ""))
    return user


def there_and_back(provider, client, back_to="", **answer):
    leads = client.get(THERE, {"next": back_to})
    assert leads.url.startswith(f"{provider.issuer}/authorize?")
    provider.asked = asked_by(leads)
    return client.get(f"{THERE}back/", {"code": "good", "state": provider.asked["state"], **answer})


def is_in(client):
    return client.get("/superintendents/").status_code == 200


class TestComingIn:
    def test_whoever_is_known_to_an_account_is_signed_in(self, provider, ada):
        client = Client()
        assert there_and_back(provider, client, "/trail/").url == "/trail/"
        assert html_in(client.get("/superintendents/")).count("Ada") > 0
        assert provider.asked["code_challenge_method"] == "S256"
        assert (trail_of(None)[-1].by, trail_of(None)[-1].what) == ("Ada", "signed in")

    def test_the_sign_in_page_leads_there_only_where_there_is_a_provider(self, provider, settings):
        assert "Sign in with Barn" in html_in(Client().get("/sign-in/"))
        settings.SINGLE_SIGN_ON = {}
        assert THERE not in html_in(Client().get("/sign-in/"))
        for address in (THERE, f"{THERE}back/"):
            assert Client().get(address).status_code == 404

    def test_a_stranger_is_let_in_by_nothing_whatever_their_name_and_e_mail(self, provider):
        an_account("Ada", email="ada@example.org")
        provider.claims = {"name": "Ada", "email": "ada@example.org", "email_verified": True}
        client = Client()
        answer = there_and_back(provider, client)
        assert answer.status_code == 403
        assert "Ask an owner for an invitation" in html_in(answer)
        assert not is_in(client)
        assert User.objects.count() == 1

    def test_who_is_switched_off_stays_out(self, provider, ada):
        User.objects.update(is_active=False)
        assert there_and_back(provider, Client()).status_code == 403

    def test_an_account_that_asks_for_a_code_still_does(self, provider, ada):
        begin(ada)
        codes = confirm(ada).split()
        client = Client()
        assert there_and_back(provider, client, "/trail/").url == "/sign-in/code/?next=%2Ftrail%2F"
        assert not is_in(client)
        assert client.post("/sign-in/code/", {"code": codes[0]}).url == "/"


class TestRefused:
    @pytest.mark.parametrize(
        "claims",
        [
            {"nonce": "of-another-question"},
            {"nonce": None},
            {"iss": "https://elsewhere.example"},
            {"iss": None},
            {"aud": "another-site"},
            {"aud": [CLIENT, "another-site"]},
            {"aud": None},
            {"sub": None},
            {"sub": "s" * 256},
            {"exp": int(time.time()) - 3600},
            {"exp": None},
            {"iat": int(time.time()) + 3600},
        ],
        ids=str,
    )
    def test_what_was_not_said_for_us_just_now(self, provider, ada, claims):
        provider.claims = claims
        client = Client()
        assert there_and_back(provider, client).status_code == 403
        assert not is_in(client)

    def test_what_another_key_signed(self, provider, ada):
        provider.signed_by = "another"
        assert there_and_back(provider, Client()).status_code == 403

    def test_what_nobody_signed(self, provider, ada):
        provider.algorithm = "none"
        assert there_and_back(provider, Client()).status_code == 403

    @pytest.mark.parametrize("answer", [{"state": "another"}, {"code": "bad"}, {"error": "access_denied"}], ids=str)
    def test_an_answer_to_another_question(self, provider, ada, answer):
        assert there_and_back(provider, Client(), **answer).status_code == 403

    def test_an_answer_in_another_browser_and_one_that_comes_twice(self, provider, ada):
        client = Client()
        assert there_and_back(provider, client).status_code == 302
        answer = {"code": "good", "state": provider.asked["state"]}
        for other in (Client(), client):
            assert other.get(f"{THERE}back/", answer).status_code == 403
        assert "sign-in refused" in [entry.what for entry in trail_of(None)]

    def test_a_provider_that_does_not_answer(self, provider, settings):
        settings.SINGLE_SIGN_ON = settings.SINGLE_SIGN_ON | {"issuer": "http://127.0.0.1:9"}
        answer = Client().get(THERE)
        assert answer.status_code == 503
        assert "does not answer" in html_in(answer)


class TestInvited:
    @pytest.fixture
    def link(self):
        own_organisation()
        theirs = Organisation.objects.create(name="Quill Creek")
        return f"/invited/{invite(theirs, Membership.Role.ALL, 'Quentin')}/"

    def test_an_invitation_lets_in_whoever_shows_who_they_are(self, provider, link):
        client = Client()
        assert "instead of a password" in html_in(client.get(link))
        assert there_and_back(provider, client, link).url == link
        page = html_in(client.get(link))
        assert 'value="Ada B."' in page
        assert 'name="password"' not in page
        assert client.post(link, {"name": "Ada"}).url == "/"
        user = User.objects.get(username="Ada")
        assert not user.has_usable_password()
        assert user.membership.organisation.name == "Quill Creek"
        assert there_and_back(provider, Client()).url == "/"
        assert Client().get(link).status_code == 404

    def test_without_an_invitation_there_is_nothing_to_come_back_to(self, provider):
        client = Client()
        assert there_and_back(provider, client, "/invited/guess/").url == "/invited/guess/"
        assert client.get("/invited/guess/").status_code == 404
        assert client.post("/invited/guess/", {"name": "Eve"}).status_code == 404
        assert not User.objects.exists()

    def test_who_shows_nothing_needs_a_password(self, provider, link):
        assert Client().post(link, {"name": "Ada"}).status_code == 422

    def test_nobody_has_two_accounts(self, provider, link, ada):
        client = Client()
        assert there_and_back(provider, client, link).url == link  # whoever is known is signed in, and goes there
        assert is_in(client)
        assert SignOn.objects.count() == 1


class TestOwnAccount:
    def test_whoever_is_signed_in_says_so_themselves(self, provider):
        client = signed_in("Bob")
        assert there_and_back(provider, client, "/superintendents/").url == "/superintendents/"
        assert not SignOn.objects.exists()
        assert "says that you are" in html_in(client.get("/superintendents/"))
        assert client.post("/superintendents/elsewhere/", {"submission": uuid4()}).status_code == 302
        assert SignOn.objects.get().user.username == "Bob"
        assert there_and_back(provider, Client()).url == "/"
        assert "signs in with single sign-on" in [entry.what for entry in trail_of(None)]

    def test_nothing_is_connected_without_having_shown_it(self, provider):
        assert signed_in("Bob").post("/superintendents/elsewhere/", {"submission": uuid4()}).status_code == 302
        assert not SignOn.objects.exists()

    def test_nor_what_another_account_is_signed_in_by(self, provider, ada):
        client = signed_in("Bob")
        there_and_back(provider, client, "/superintendents/")
        assert client.post("/superintendents/elsewhere/", {"submission": uuid4()}).status_code == 409

    def test_it_is_taken_back_by_oneself_or_an_owner_where_there_is_a_password(self, provider, ada):
        at = f"/superintendents/{ada.pk}/elsewhere-off/"
        bob = signed_in("Bob")
        assert bob.post(at, {"submission": uuid4()}).status_code == 409
        ada.set_password("hay-bale-sunrise")
        ada.save()
        assert signed_in("Eve", role=Membership.Role.ALL).post(at, {"submission": uuid4()}).status_code == 404
        assert "No more Barn" in html_in(bob.get("/superintendents/"))
        assert bob.post(at, {"submission": uuid4()}).status_code == 302
        assert there_and_back(provider, Client()).status_code == 403


def test_a_check_names_packages_that_are_missing(settings, monkeypatch):
    assert check_settings(None) == []
    settings.SINGLE_SIGN_ON = {"issuer": "https://sign-on.example"}
    monkeypatch.setattr("contest.checks.find_spec", lambda name: None)
    (problem,) = check_settings(None)
    assert problem.id == "contest.E004"
