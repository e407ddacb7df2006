"""The way around a contest: each sees their own pages, and who they are."""

import re

import pytest
from django.contrib.auth.models import User
from django.urls import reverse

from contest.models import Duty
from tests.factories import a_contest

pytestmark = pytest.mark.django_db


def navigation(page):
    """The labels of the links to a contest's pages."""
    inside = page.content.decode().partition('<nav class="sections"')[2].partition("</nav>")[0]
    return re.findall(r">([^<]+)</a>", inside)


def lobby(client, contest):
    return client.get(f"/contests/{contest.pk}/lobby/")


@pytest.mark.parametrize(
    ("duty", "seen", "not_seen"),
    [
        (Duty.TABULATOR, {"Cards"}, {"Keys", "Standings", "Doubts", "Programme", "Helpers", "Set-up"}),
        (Duty.KEYS, {"Keys"}, {"Cards", "Standings", "Doubts", "Programme", "Helpers", "Set-up"}),
        (Duty.ANNOUNCER, set(), {"Cards", "Keys", "Standings", "Doubts", "Programme", "Helpers", "Set-up"}),
    ],
)
def test_a_helper_sees_the_pages_of_the_duty(as_helper, duty, seen, not_seen):
    contest = a_contest()
    shown = set(navigation(lobby(as_helper(contest, duty), contest)))
    assert seen <= shown
    assert not shown & not_seen


def test_the_superintendent_sees_them_all(superintendent):
    contest = a_contest()
    shown = navigation(lobby(superintendent, contest))
    assert shown[0] == "Programme"
    assert {"Helpers", "Keys", "Cards", "Standings"} <= set(shown)


@pytest.mark.parametrize("duty", Duty)
def test_every_link_that_is_shown_opens(as_helper, superintendent, duty):
    contest = a_contest()
    for client in (as_helper(contest, duty), superintendent):
        page = lobby(client, contest).content.decode().partition('<nav class="sections"')[2].partition("</nav>")[0]
        for address in re.findall(r'href="([^"]+)"', page):
            assert client.get(address).status_code == 200, address


def test_the_page_one_is_on_is_marked_and_so_is_the_page_above(superintendent):
    contest = a_contest()
    for name, mark in [("standings", "page"), ("standings-list", "true")]:
        args = [contest.pk] if mark == "page" else [contest.pk, "SR", "overall"]
        page = superintendent.get(reverse(name, args=args)).content.decode()
        assert re.findall(r'aria-current="(\w+)">(\w[\w-]*)</a>', page)[0] == (mark, "Standings")
    assert 'aria-current="true"' not in superintendent.get(f"/contests/{contest.pk}/classes/1/").content.decode()


def test_it_says_who_is_signed_in(as_helper, superintendent):
    contest = a_contest()
    assert "<bdi>Ann</bdi>, tabulator" in lobby(as_helper(contest, Duty.TABULATOR, "Ann"), contest).content.decode()
    assert "<bdi>superintendent</bdi>" in superintendent.get("/").content.decode()


def test_a_page_kept_by_the_browser_is_not_shown_to_the_next_who_signs_in(superintendent):
    address = f"/contests/{a_contest().pk}/"
    tag = superintendent.get(address).headers["ETag"]
    assert superintendent.get(address, headers={"If-None-Match": tag}).status_code == 304
    superintendent.force_login(User.objects.create_user("Sue"))
    answer = superintendent.get(address, headers={"If-None-Match": tag})
    assert "<bdi>Sue</bdi>" in answer.content.decode()
