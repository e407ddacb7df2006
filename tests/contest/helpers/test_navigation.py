"""The way around a contest: each sees their own pages, and who they are."""

import re

import pytest
from django.urls import reverse

from contest.models import Duty
from tests.accounts import an_account
from tests.contest.watch.cast import read, small_contest
from tests.factories import a_contest
from tests.pages import html_in

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def part(page):
    return html_in(page).partition('<nav class="sections')[2].partition("</nav>")[0]


def navigation(page):
    """The labels of the links to a contest's pages."""
    return navigation_of(part(page))


def navigation_of(html):
    return re.findall(r"<a [^>]+>([^<]+?) ?<", html)


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


def test_the_way_around_is_the_same_on_every_page_and_the_busiest_pages_lie_open_in_it(superintendent, as_helper):
    contest = a_contest()
    seen = set()
    for name in ("contest", "entries", "keys", "doubts", "standings", "results"):
        page = part(superintendent.get(reverse(name, args=[contest.pk])))
        always, *parts = page.split("<details")
        assert re.findall(r"<a [^>]+>(\w+)", always) == ["Programme", "Entries", "Progress", "Doubts"]
        assert re.findall(r"<summary>(\w+)", page) == ["Before", "Judging", "After"]
        assert not any(menu.partition(">")[0].count("open") for menu in parts)
        seen.add(tuple(navigation_of(page)))
        assert re.findall(r'class="current"><summary>(\w+)', page) == {
            "keys": ["Judging"],
            "standings": ["After"],
            "results": ["After"],
        }.get(name, [])
    assert len(seen) == 1
    assert "<summary>" not in part(lobby(as_helper(contest, Duty.TABULATOR), contest))


def test_open_doubts_are_counted_for_the_superintendent_alone(superintendent, as_helper, django_assert_num_queries):
    contest = small_contest()
    read(contest, 1, 999, "3124")
    told = '2<span class="hidden"> waiting</span>'
    assert told not in part(lobby(superintendent, contest))
    read(contest, 2, 998, "3124")
    assert part(lobby(superintendent, contest)).count(told) == 1
    with django_assert_num_queries(3):  # who asks, for whom, and the contest
        lobby(superintendent, contest)
    assert "waiting" not in part(lobby(as_helper(contest, Duty.TABULATOR), contest))


@pytest.mark.parametrize("duty", Duty)
def test_every_link_that_is_shown_opens(as_helper, superintendent, duty):
    contest = a_contest()
    for client in (as_helper(contest, duty), superintendent):
        for address in re.findall(r'href="([^"]+)"', part(lobby(client, contest))):
            assert client.get(address).status_code == 200, address


def test_the_page_one_is_on_is_marked_and_so_is_the_page_above(superintendent):
    contest = a_contest()
    for name, mark in [("standings", "page"), ("standings-list", "true")]:
        args = [contest.pk] if mark == "page" else [contest.pk, "SR", "overall"]
        page = html_in(superintendent.get(reverse(name, args=args)))
        assert re.findall(r'aria-current="(\w+)">(\w[\w-]*)</a>', page)[0] == (mark, "Standings")
    assert 'aria-current="true"' not in html_in(superintendent.get(f"/contests/{contest.pk}/classes/1/"))


def test_it_says_who_is_signed_in(as_helper, superintendent):
    contest = a_contest()
    assert "<bdi>Ann</bdi>, tabulator" in html_in(lobby(as_helper(contest, Duty.TABULATOR, "Ann"), contest))
    assert "<bdi>superintendent</bdi>" in html_in(superintendent.get("/"))


def test_a_page_kept_by_the_browser_is_not_shown_to_the_next_who_signs_in(superintendent):
    address = f"/contests/{a_contest().pk}/"
    tag = superintendent.get(address).headers["ETag"]
    assert superintendent.get(address, headers={"If-None-Match": tag}).status_code == 304
    superintendent.force_login(an_account("Sue"))
    answer = superintendent.get(address, headers={"If-None-Match": tag})
    assert "<bdi>Sue</bdi>" in html_in(answer)
