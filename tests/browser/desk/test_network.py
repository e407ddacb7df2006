"""The desk in real browsers: cut off from the network, shown out, and shared by several helpers."""

import re
from uuid import uuid4

import pytest
from playwright.sync_api import expect

from contest.helpers.codes import codes_of
from contest.helpers.joining import show_out
from contest.models import Card, Duty, Helper, Reading
from contest.slips.reading import set_aside
from tests.browser.desk.hands import (
    NUMBERS,
    PLACINGS,
    all_sent,
    cut,
    keys,
    kind,
    now,
    progress,
    readings,
    restore,
    sign,
)
from tests.slips import read_card


class TestTheNetwork:
    def test_cut_in_mid_stack_everything_arrives_in_order_and_once(self, sit, contest):
        page = sit(contest)
        keys(page, "312")
        all_sent(page)
        cut(page)
        keys(page, "124231")
        expect(sign(page)).to_contain_text(re.compile(r"Not connected since \d\d:\d\d:\d\d: 2 readings kept"))
        kind(page, 103, "waiting")
        keys(page, "213")
        expect(sign(page)).to_contain_text("3 readings kept on this laptop. They go out by themselves.")
        restore(page)
        all_sent(page)
        kind(page, 104, "saved")
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))[:4]

    def test_what_waits_survives_a_reload(self, sit, contest):
        page = sit(contest)
        page.route("**/desk/readings/", lambda route: route.abort())
        keys(page, "312124231")
        expect(sign(page)).to_have_attribute("data-state", "offline")
        page.on("dialog", lambda dialog: dialog.accept())
        page.reload()
        kind(page, 103, "waiting")
        expect(now(page)).to_have_text("104")
        keys(page, "213")
        expect(sign(page)).to_have_attribute("data-waiting", "4")
        page.unroute("**/desk/readings/")
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))[:4]

    def test_how_far_a_stack_is_survives_a_reload(self, sit, contest):
        page = sit(contest)
        keys(page, "312124231")
        all_sent(page)
        page.reload()
        expect(progress(page)).to_have_text("3 of 6 read")
        expect(now(page)).to_have_text("104")
        cut(page)
        keys(page, "z")
        expect(progress(page)).to_have_text("2 of 6 read")
        keys(page, "231213")
        expect(progress(page)).to_have_text("4 of 6 read")
        restore(page)
        all_sent(page)
        expect(progress(page)).to_have_text("4 of 6 read")

    def test_no_stack_is_left_is_said_only_while_it_is_so(self, sit, contest):
        classes = {judged.number: judged for judged in contest.classes.select_related("contest")}
        for number in NUMBERS:
            read_card(classes[2], number, "3124", "Ann", uuid4())
        for number in NUMBERS[:-1]:
            read_card(classes[1], number, "3124", "Ann", uuid4())
        page = sit(contest, now_is="106")
        keys(page, "312")
        expect(page.get_by_role("button", name="Back to the room: no stack is left for you")).to_be_visible()
        set_aside(Reading.objects.get(judging_class=classes[2], number=104), "Sue", "read by mistake")
        on = page.get_by_role("button", name="Take class 2, group A")
        expect(on).to_be_visible()
        page.evaluate("document.querySelector('.set-aside button').click()")
        expect(page.get_by_text("nothing is left for you to read")).to_have_count(0)
        expect(page.get_by_text("1 left over of 6")).to_be_visible()
        read_card(classes[2], 104, "3124", "Ann", uuid4())
        expect(page.get_by_role("heading", name="Nothing to read")).to_be_visible()

    def test_what_waits_goes_out_from_the_room_too(self, sit, contest):
        page = sit(contest)
        page.route("**/desk/readings/", lambda route: route.abort())
        keys(page, "312124")
        expect(sign(page)).to_have_attribute("data-state", "offline")
        page.on("dialog", lambda dialog: dialog.accept())
        page.unroute("**/desk/readings/")
        page.route("**/desk/readings/", lambda route: route.abort())
        page.goto(f"/contests/{contest.pk}/desk/")
        expect(sign(page)).to_contain_text("2 readings kept")
        page.unroute("**/desk/readings/")
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))[:2]

    def test_closing_with_unsent_readings_warns_and_without_does_not(self, sit, contest):
        page = sit(contest)
        asked = []
        page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
        keys(page, "312")
        all_sent(page)
        page.reload()
        assert asked == []
        expect(now(page)).to_have_text("102")
        page.route("**/desk/readings/", lambda route: route.abort())
        keys(page, "124")
        expect(sign(page)).to_have_attribute("data-state", "offline")
        page.reload()
        assert asked == ["beforeunload"]

    def test_an_answer_that_is_lost_costs_nothing(self, sit, contest):
        page = sit(contest)
        lost = []

        def lose(route):
            if len(lost) < 2:
                route.fetch()  # it arrives, but nobody here hears of it
                lost.append(route.request.post_data_json["submission"])
                route.abort()
            else:
                route.continue_()

        page.route("**/desk/readings/", lose)
        keys(page, "312124")
        all_sent(page)
        assert lost[0] == lost[1]
        assert Reading.objects.count() == 2
        assert readings() == [(101, "3124"), (102, "1243")]

    @pytest.mark.parametrize(
        "answer",
        [
            {"status": 500, "body": "oops"},
            {"status": 200, "body": "<html>Accept the conditions of this network</html>"},
            {"status": 302, "headers": {"location": "/"}},
            {"status": 503, "json": {"kind": "saved", "text": "no"}},
        ],
    )
    def test_nothing_but_our_own_answer_counts_as_saved(self, sit, contest, answer):
        page = sit(contest)
        page.route("**/desk/readings/", lambda route: route.fulfill(**answer))
        keys(page, "312")
        expect(sign(page)).to_have_attribute("data-state", "offline")
        kind(page, 101, "waiting")
        page.unroute("**/desk/readings/")
        all_sent(page)
        assert readings() == [(101, "3124")]

    def test_two_tabs_of_one_helper_neither_lose_nor_double(self, sit, contest):
        page = sit(contest)
        other = page.context.new_page()
        other.goto(page.url)
        expect(now(other)).to_have_text("101")
        cut(page)
        keys(page, "312124")
        keys(other, "/104")
        other.keyboard.press("Enter")
        keys(other, "213")
        expect(sign(other)).to_have_attribute("data-waiting", "3")
        restore(page)
        all_sent(page)
        all_sent(other)
        kind(page, 104, "saved")
        kind(other, 102, "saved")
        assert readings() == [(101, "3124"), (102, "1243"), (104, "2134")]
        assert Reading.objects.count() == 3

    def test_a_tab_that_died_while_sending_holds_nobody_up_for_long(self, sit, contest):
        page = sit(contest)
        page.evaluate(
            """() => {
              const shelf = JSON.parse(document.getElementById("desk-page").textContent).desk;
              const lease = JSON.stringify({ tab: "gone", until: Date.now() + 3000 });
              localStorage.setItem("tanbark-sender:" + encodeURIComponent(shelf), lease);
            }"""
        )
        keys(page, "312")
        all_sent(page)
        assert readings() == [(101, "3124")]


class TestShownOut:
    def out(self, page):
        show_out(Helper.objects.get(name="Ann", left_at=None), "superintendent")
        keys(page, "124231")
        expect(sign(page)).to_contain_text("not let in any more; 2 readings are kept on this laptop. Join again as Ann")

    def join(self, page, contest, name):
        page.get_by_label("name").fill(name)
        page.get_by_label("code").fill(codes_of(contest)[Duty.TABULATOR])
        page.keyboard.press("Enter")

    def test_and_back_under_the_same_name_nothing_is_lost(self, sit, contest):
        page = sit(contest)
        keys(page, "312")
        all_sent(page)
        self.out(page)
        page.get_by_role("link", name="Join again").click()
        self.join(page, contest, "Ann")
        expect(page.get_by_role("heading", name="Tabulation room")).to_be_visible()
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))[:3]
        expect(page.get_by_text("3 to read, first reading")).to_be_visible()
        page.get_by_role("button", name="Take it").click()
        expect(progress(page)).to_have_text("3 of 6 read")

    def test_the_page_goes_on_by_itself_once_another_tab_has_joined(self, sit, contest):
        page = sit(contest)
        self.out(page)
        other = page.context.new_page()
        other.goto("/join/")
        self.join(other, contest, "ann")
        expect(other.get_by_role("heading", name="Tabulation room")).to_be_visible()
        all_sent(page)
        assert readings() == [(101, "1243"), (102, "2314")]

    def test_what_one_helper_read_never_goes_out_under_another_name(self, sit, contest):
        page = sit(contest)
        self.out(page)
        page.get_by_role("link", name="Join again").click()
        self.join(page, contest, "Bob")
        expect(sign(page)).to_contain_text("2 readings of Ann are kept on this laptop")
        page.get_by_role("button", name="Take it").click()
        expect(now(page)).to_have_text("101")
        keys(page, "+312")  # three digits: a new reader is asked
        kind(page, 101, "saved")
        assert list(Reading.objects.values_list("number", "by")) == [(101, "Bob")]


class TestTogether:
    def test_four_read_the_same_stacks_at_once_and_every_card_is_settled(self, sit, contest):
        pages = [sit(contest, name) for name in ("Ann", "Bob", "Cyd", "Dee")]
        for number, placing in zip(NUMBERS, PLACINGS, strict=True):
            for page in pages:
                expect(now(page)).to_have_text(str(number))
                keys(page, placing[:3])
        for page in pages:
            all_sent(page)
        assert Reading.objects.filter(withdrawn_at=None).count() == 24
        cards = Card.objects.filter(judging_class__number=1)
        assert sorted(cards.values_list("contestant__number", "placing", "state")) == [
            (number, placing, "settled") for number, placing in zip(NUMBERS, PLACINGS, strict=True)
        ]
        expect(pages[0].get_by_text("Also at this stack")).to_have_count(0)
        expect(pages[3].get_by_text("Also at this stack: Ann, Bob, Cyd")).to_be_visible()

    def test_the_room_shows_what_others_do_without_being_asked(self, make_page, sit, contest):
        room = make_page(who=(contest, Duty.TABULATOR, "Zoe"))
        room.goto(f"/contests/{contest.pk}/desk/")
        expect(room.locator(".stack").first).to_contain_text("6 unread; free")
        page = sit(contest)
        keys(page, "312")
        expect(room.locator(".stack").first).to_contain_text("taken by Ann")
        expect(room.locator(".stack").first).to_contain_text("5 unread, 1 read once")


class TestTheDisk:
    def test_where_the_laptop_cannot_save_the_desk_says_why_and_keeps_everything(self, sit, contest, monkeypatch):
        def no_room(*args, **kwargs):
            raise OSError(28, "No space left on device")

        page = sit(contest)
        with monkeypatch.context() as full:
            full.setattr("contest.desk.views.read_card", no_room)
            keys(page, "312124")
            expect(sign(page)).to_contain_text("The disk of the main laptop is full: 2 readings kept on this laptop")
            expect(sign(page)).to_contain_text("They are sent again by themselves.")
            assert readings() == []
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))[:2]
        expect(sign(page)).to_contain_text("Everything is saved")


class TestClosedMidCard:
    def test_what_was_typed_whole_goes_out_later_and_what_was_not_is_no_reading(self, sit, contest):
        page = sit(contest)
        page.context.route("**/desk/readings/", lambda route: route.abort())
        keys(page, "312")
        keys(page, "12")  # of the next card, when the lid falls
        expect(sign(page)).to_have_attribute("data-waiting", "1")
        address = page.url
        page.close(run_before_unload=False)
        assert readings() == []
        page.context.unroute("**/desk/readings/")
        page = page.context.new_page()
        page.goto(address)
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))[:1]
        expect(now(page)).to_have_text(str(NUMBERS[1]))
        keys(page, "124")
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))[:2]
