"""The superintendent's page about helpers."""

import re
from datetime import timedelta
from urllib.parse import unquote
from uuid import uuid4

import pytest
from django.utils import timezone

from contest.helpers.addresses import hall_addresses, public_address
from contest.helpers.codes import SHARED, codes_of
from contest.helpers.pages import seats, version, ways_in
from contest.models import Duty, StackClaim
from contest.serving import addresses as served
from tests.factories import a_contest
from tests.pages import body
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def page_of(contest):
    return f"/contests/{contest.pk}/helpers/"


def post(client, address, **more):
    return client.post(address, {"submission": uuid4(), **more})


@pytest.fixture
def laptop(monkeypatch):
    """This laptop with other addresses in the local network."""

    def has(*addresses):
        monkeypatch.setattr(served, "lan_addresses", lambda: list(addresses))

    return has


class TestPage:
    def test_it_shows_each_dutys_code_and_the_address(self, superintendent, laptop):
        laptop("192.168.1.2")
        contest = a_contest()
        page = body(superintendent.get(page_of(contest), headers={"Host": "localhost:8000"}))
        for code in codes_of(contest).values():
            assert code in page
        assert 'value="http://192.168.1.2:8000/join/"' in page
        assert page.count('src="data:image/svg+xml') == len(SHARED)

    def test_what_was_chosen_of_several_networks_is_on_every_code(self, superintendent, laptop):
        laptop("192.168.1.2", "10.0.0.7")
        contest = a_contest()
        host = {"headers": {"Host": "localhost:8000"}}
        choosing = f"/contests/{contest.pk}/addresses/"
        form = body(superintendent.get(choosing, **host))
        assert "http://192.168.1.2:8000" in form
        assert "http://10.0.0.7:8000" in form
        chosen = {"submission": uuid4(), "hall": "10.0.0.7", "public": ""}
        assert superintendent.post(choosing, chosen, **host).url == choosing + "?done"
        assert 'value="http://10.0.0.7:8000/join/"' in body(superintendent.get(page_of(contest), **host))
        laptop("192.168.1.2")
        page = body(superintendent.get(page_of(contest), **host))
        assert 'value="http://192.168.1.2:8000/join/"' in page
        assert "10.0.0.7 was chosen, and is no address of this laptop any more." in page

    def test_what_up_listens_on_is_the_only_address(self, superintendent, laptop, monkeypatch):
        laptop("192.168.1.2", "10.0.0.7")
        monkeypatch.setattr(served, "listening_on", "10.0.0.7")
        contest = a_contest()
        page = body(superintendent.get(page_of(contest), headers={"Host": "localhost:8000"}))
        assert 'value="http://10.0.0.7:8000/join/"' in page
        form = body(superintendent.get(f"/contests/{contest.pk}/addresses/", headers={"Host": "localhost:8000"}))
        assert "<code>--host 10.0.0.7</code>" in form
        assert "192.168.1.2" not in form
        monkeypatch.setattr(served, "listening_on", "127.0.0.1")
        page = body(superintendent.get(page_of(contest), headers={"Host": "localhost:8000"}))
        assert "No network." in page
        assert "data:image/svg+xml" not in page

    @pytest.mark.parametrize(
        ("typed", "kept"),
        [
            ("https://example.org/fall/", "https://example.org/fall"),
            ("example.org/fall/index.html", "https://example.org/fall"),
            ("http://example.org:8080", "http://example.org:8080"),
            ("", ""),
        ],
    )
    def test_a_public_address_is_kept_as_links_need_it(self, typed, kept):
        assert public_address(typed) == kept

    @pytest.mark.parametrize(
        "typed",
        ["localhost", "http://192.168.1.2/x", "laptop.local", "laptop", "ftp://example.org", "http://[", "a b.org"],
    )
    def test_one_that_reaches_nobody_at_home_is_refused_beside_it(self, superintendent, typed):
        contest = a_contest()
        choosing = f"/contests/{contest.pk}/addresses/"
        refused = body(superintendent.post(choosing, {"submission": uuid4(), "hall": "", "public": typed}), 422)
        assert 'id="public-wrong"' in refused
        assert f'value="{typed}"' in refused
        contest.refresh_from_db()
        assert contest.public_address == ""

    def test_it_shows_no_address_that_is_not_the_laptops(self, superintendent, laptop):
        laptop("192.168.1.2")
        at = {"at": "http://evil.example"}
        assert "evil" not in body(superintendent.get(page_of(a_contest()), at, headers={"Host": "localhost:8000"}))

    def test_without_a_network_it_says_so(self, superintendent, laptop):
        laptop()
        page = body(superintendent.get(page_of(a_contest()), headers={"Host": "localhost:8000"}))
        assert "No network." in page
        assert "data:image" not in page

    def test_it_shows_who_sits_where(self, superintendent, as_helper):
        contest = a_contest()
        ann = as_helper(contest, Duty.TABULATOR, "Ann").helper
        StackClaim.objects.create(helper=ann, judging_class=contest.classes.get(), group="B")
        as_helper(a_contest(), Duty.TABULATOR, "Stranger")
        page = body(superintendent.get(page_of(contest)))
        assert "<bdi>Ann</bdi>" in page
        assert "class 1, group B" in page
        assert "Show out everybody: tabulator (1)" in page
        assert "Stranger" not in page

    def test_it_is_never_kept_by_a_browser(self, superintendent):
        assert "no-store" in superintendent.get(page_of(a_contest())).headers["Cache-Control"]

    def test_its_queries_do_not_grow(self, superintendent, as_helper, django_assert_num_queries):
        contest = a_contest()
        superintendent.get(page_of(contest))
        for count in (0, 12):
            for number in range(count):
                as_helper(contest, Duty.TABULATOR, f"Ann {number}")
            superintendent.get(f"/contests/{contest.pk}/")  # counts the doubts of this revision
            with django_assert_num_queries(6):  # who asks, for whom, the contest, the codes, the helpers, their stacks
                superintendent.get(page_of(contest))

    @pytest.mark.parametrize("page", ["", "seats/"])
    def test_it_only_shows(self, superintendent, page):
        assert superintendent.post(page_of(a_contest()) + page).status_code == 405

    @pytest.mark.parametrize("page", ["", "seats/"])
    def test_an_unknown_contest_is_not_found(self, superintendent, page):
        assert superintendent.get(f"/contests/4711/helpers/{page}").status_code == 404

    @pytest.mark.parametrize("duty", Duty)
    def test_no_helper_sees_it(self, as_helper, duty):
        contest = a_contest()
        client = as_helper(contest, duty)
        assert client.get(page_of(contest)).status_code == 404
        assert post(client, page_of(contest) + f"{duty.value}/out/").status_code == 404
        assert client.get(f"/contests/{contest.pk}/lobby/").status_code == 200


def test_a_tablet_of_a_reasons_room_has_no_code_that_it_shares(superintendent):
    contest = a_contest()
    assert post(superintendent, page_of(contest) + "room/new-code/").status_code == 404


class TestSeats:
    def test_it_is_sent_again_only_when_something_changed(self, superintendent, as_helper):
        contest = a_contest()
        address = page_of(contest) + "seats/"
        known = re.search(r"\?v=(\w+)", body(superintendent.get(address)))[1]
        assert superintendent.get(address, {"v": known}).status_code == 204
        as_helper(contest, Duty.KEYS, "Cleo")
        assert "Cleo" in body(superintendent.get(address, {"v": known}))

    def test_how_long_nothing_was_heard_is_said_in_words(self, as_helper):
        contest = a_contest()
        helper = as_helper(contest, Duty.KEYS).helper
        for passed, words in [
            (timedelta(seconds=59), "now"),
            (timedelta(minutes=7, seconds=30), "7 min ago"),
            (timedelta(hours=3), "3 h ago"),
            (timedelta(days=2), "2 d ago"),
        ]:
            contest.helpers.filter(pk=helper.pk).update(seen_at=timezone.now() - passed)
            (seat,) = seats(contest)
            assert (seat.seen, seat.quiet) == (words, words != "now")

    def test_those_who_are_out_are_not_there_and_the_rest_stand_by_duty(self, as_helper):
        contest = a_contest()
        for duty, name in [
            (Duty.ANNOUNCER, "Al"),
            (Duty.TABULATOR, "Ann"),
            (Duty.KEYS, "Cleo"),
            (Duty.TABULATOR, "Bo"),
        ]:
            as_helper(contest, duty, name)
        as_helper(contest, Duty.KEYS, "Gone").post("/leave/")
        shown = seats(contest)
        assert [seat.name for seat in shown] == ["Ann", "Bo", "Cleo", "Al"]
        assert version(shown) == version(seats(contest)) != version(shown[1:])


class TestShowingOut:
    def test_one_is_out_and_the_others_stay(self, superintendent, as_helper):
        contest = a_contest()
        ann, bob = as_helper(contest, Duty.KEYS, "Ann"), as_helper(contest, Duty.KEYS, "Bob")
        reply = post(superintendent, page_of(contest) + f"{ann.helper.pk}/out/")
        assert reply.url == page_of(contest) + "#seats"
        assert ann.get(f"/contests/{contest.pk}/lobby/").status_code == 302
        assert bob.get(f"/contests/{contest.pk}/lobby/").status_code == 200

    def test_a_whole_duty_is_out_and_the_others_stay(self, superintendent, as_helper):
        contest = a_contest()
        ann, bob = as_helper(contest, Duty.KEYS, "Ann"), as_helper(contest, Duty.REASONS, "Bob")
        post(superintendent, page_of(contest) + "keys/out/")
        assert ann.get(f"/contests/{contest.pk}/lobby/").status_code == 302
        assert bob.get(f"/contests/{contest.pk}/lobby/").status_code == 200

    def test_a_helper_of_another_contest_is_not_found(self, superintendent, as_helper):
        contest = a_contest()
        other = as_helper(a_contest(), Duty.KEYS)
        assert post(superintendent, page_of(contest) + f"{other.helper.pk}/out/").status_code == 404
        other.helper.refresh_from_db()
        assert other.helper.left_at is None

    def test_it_is_on_the_trail_by_the_superintendent(self, superintendent, as_helper):
        contest = a_contest()
        ann = as_helper(contest, Duty.KEYS, "Ann")
        post(superintendent, page_of(contest) + f"{ann.helper.pk}/out/")
        assert last_of(contest).by == "superintendent"


class TestNewCode:
    def test_the_old_one_ends_and_nobody_is_shown_out(self, superintendent, as_helper):
        contest = a_contest()
        ann = as_helper(contest, Duty.KEYS)
        before = codes_of(contest)
        reply = post(superintendent, page_of(contest) + "keys/new-code/")
        assert reply.url == page_of(contest) + "#keys"
        after = codes_of(contest)
        assert {duty for duty in SHARED if before[duty] != after[duty]} == {Duty.KEYS}
        assert ann.get(f"/contests/{contest.pk}/lobby/").status_code == 200

    def test_the_same_form_sent_twice_makes_one(self, superintendent):
        contest = a_contest()
        submission = uuid4()
        post(superintendent, page_of(contest) + "keys/new-code/", submission=submission)
        once = codes_of(contest)
        post(superintendent, page_of(contest) + "keys/new-code/", submission=submission)
        assert codes_of(contest) == once

    @pytest.mark.parametrize("action", ["nobody/new-code/", "nobody/out/", "4711/out/"])
    def test_an_unknown_duty_or_helper_is_not_found(self, superintendent, action):
        assert post(superintendent, page_of(a_contest()) + action).status_code == 404

    @pytest.mark.parametrize("action", ["keys/new-code/", "keys/out/", "1/out/"])
    def test_it_is_a_post(self, superintendent, action):
        assert superintendent.get(page_of(a_contest()) + action).status_code == 405


class TestAddresses:
    @pytest.mark.parametrize("host", ["localhost:8000", "127.0.0.1:8000", "[::1]:8000", "localhost.:8000"])
    def test_this_machines_own_names_become_its_addresses(self, laptop, host):
        laptop("192.168.1.2", "10.0.0.7")
        assert hall_addresses(host, "http") == ["http://192.168.1.2:8000", "http://10.0.0.7:8000"]

    @pytest.mark.parametrize(
        ("host", "end"), [("192.168.1.2:8000", ":8000"), ("judging.local", ""), ("[fe80::1]:8000", ":8000")]
    )
    def test_any_other_name_serves_everybody_and_other_networks_come_after_it(self, laptop, host, end):
        laptop("10.0.0.7")
        assert hall_addresses(host, "http") == [f"http://{host}", f"http://10.0.0.7{end}"]

    def test_behind_a_proxy_its_name_is_the_only_one(self, laptop):
        laptop("10.0.0.7")
        assert hall_addresses("judging.example.org", "https") == ["https://judging.example.org"]

    def test_the_picture_leads_to_the_join_page_with_the_code(self):
        contest = a_contest()
        way = ways_in(contest, "http://10.0.0.7:8000")[0]
        assert way.address == f"http://10.0.0.7:8000/join/?code={codes_of(contest)[Duty.TABULATOR]}"
        assert "<svg" in unquote(way.qr_code)
