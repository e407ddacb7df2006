"""Choosing a language, and being told in it."""

import pytest
from django.urls import reverse

from tests.texts import pseudo

pytestmark = pytest.mark.any_database


@pytest.fixture
def made_up(made_up_texts):
    with pseudo.spoken(made_up_texts):
        yield


def test_a_page_follows_the_browser(client, db, made_up):
    page = client.get(reverse("language"), headers={"accept-language": "xx,en;q=0.5"})
    assert '<html lang="xx"' in page.text
    assert pseudo.said("Language") in page.text


def test_a_choice_is_kept_on_the_device_and_goes_back(client, db, made_up):
    answer = client.post(reverse("choose-language"), {"language": "xr", "next": reverse("join")})
    assert (answer.status_code, answer.url) == (302, reverse("join"))
    page = client.get(reverse("language"))
    assert 'dir="rtl"' in page.text
    assert pseudo.said("Skip to the content") in page.text


def test_it_does_not_send_anybody_elsewhere(client, db):
    answer = client.post(reverse("choose-language"), {"language": "en", "next": "https://example.org/"})
    assert answer.url == "/"
    assert 'value="/"' in client.get(reverse("language") + "?next=https://example.org/").text


def test_english_is_told_without_a_choice(client, db, made_up):
    assert 'lang="en"' in client.get(reverse("language"), headers={"accept-language": "fi"}).text


def test_scripts_have_their_texts(client, db, made_up):
    answer = client.get(reverse("texts", args=["xx", "0"]))
    assert "django.gettext" in answer.text
    assert "immutable" in answer.headers["Cache-Control"]
    assert client.get(reverse("texts", args=["fi", "0"])).status_code == 404
