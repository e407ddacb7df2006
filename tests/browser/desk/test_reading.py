"""The desk in real browsers: stacks read with the keyboard alone, by touch, and loose cards."""

import pytest
from playwright.sync_api import expect

from contest.models import Contestant, Duty, Reading
from tests.browser.desk.hands import (
    NUMBERS,
    PLACINGS,
    SIZES,
    all_sent,
    cut,
    desk,
    keys,
    kind,
    message,
    now,
    readings,
    restore,
    row,
    sign,
)
from tests.browser.moments import still_loading
from tests.browser.soundness import assert_sound_in_every_way
from tests.factories import RulesFactory, a_contest, people
from tests.figures import stands_in
from tests.slips import read_card


class TestAStack:
    def test_costs_exactly_three_keys_a_card(self, sit, contest):
        page = sit(contest)
        for number, placing in zip(NUMBERS, PLACINGS, strict=True):
            expect(now(page)).to_have_text(str(number))
            keys(page, placing[:3])
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))
        expect(page.get_by_text("You have read all of this stack.")).to_be_visible()

    def test_from_the_room_to_the_end_of_two_stacks_with_the_keyboard_alone(self, make_page, contest):
        page = make_page(who=(contest, Duty.TABULATOR, "Ann"))
        page.goto(f"/contests/{contest.pk}/desk/")
        page.keyboard.press("Enter")  # takes the stack that is offered
        expect(now(page)).to_have_text("101")
        keys(page, "".join(placing[:3] for placing in PLACINGS))
        expect(page.get_by_role("button", name="Take class 2, group A")).to_be_visible()
        page.keyboard.press("+")
        expect(page.get_by_role("heading", level=1)).to_contain_text("Class 2, group A")
        keys(page, "".join(placing[:3] for placing in PLACINGS))
        expect(page.get_by_role("button", name="Back to the room")).to_be_visible()
        page.keyboard.press("+")
        expect(page.get_by_role("heading", name="Tabulation room")).to_be_visible()
        all_sent(page)
        assert len(readings()) == 12

    def test_a_digit_typed_in_the_room_begins_the_name_of_a_stack(self, make_page, contest):
        page = make_page(who=(contest, Duty.TABULATOR, "Ann"))
        page.goto(f"/contests/{contest.pk}/desk/")
        keys(page, "2a")
        expect(page.locator("#stack")).to_have_value("2a")
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_contain_text("Class 2, group A")

    def test_a_card_out_of_order_costs_its_number_first(self, sit, contest):
        page = sit(contest)
        keys(page, "/104")
        page.keyboard.press("Enter")
        expect(now(page)).to_have_text("104")
        keys(page, "312")
        expect(now(page)).to_have_text("101")
        keys(page, "124134421")
        expect(now(page)).to_have_text("105")
        all_sent(page)
        assert readings()[0] == (104, "3124")

    def test_a_wrong_number_can_be_mended_or_left(self, sit, contest):
        page = sit(contest)
        keys(page, "/999")
        page.keyboard.press("Enter")
        expect(message(page)).to_contain_text("Nobody has number 999")
        page.keyboard.press("Backspace")
        expect(now(page)).to_have_text("999")
        for _ in range(3):
            page.keyboard.press("Backspace")
        keys(page, "103")
        page.keyboard.press("Enter")
        expect(now(page)).to_have_text("103")
        page.keyboard.press("Escape")
        expect(now(page)).to_have_text("101")
        assert readings() == []

    @pytest.mark.parametrize("unreadable", ["*", "u"])
    @pytest.mark.parametrize("none", ["-", "m"])
    def test_one_key_says_unreadable_and_one_that_there_is_no_card(self, sit, contest, unreadable, none):
        page = sit(contest)
        keys(page, unreadable + none)
        all_sent(page)
        assert readings() == [(101, "unreadable"), (102, "")]

    @pytest.mark.parametrize(
        ("typed", "why"),
        [
            ("5", "There is no animal 5"),
            ("310", "There is no animal 0"),
            ("33", "Animal 3 is placed already"),
            ("121", "Animal 1 is placed already"),
            ("31*", "Finish this card first"),
            ("31/", "Finish this card first"),
            ("a", "a means nothing here"),
        ],
    )
    def test_what_cannot_be_is_refused_and_nothing_is_sent(self, sit, contest, typed, why):
        page = sit(contest)
        keys(page, typed)
        expect(message(page)).to_contain_text(why)
        expect(page.get_by_role("alert")).to_contain_text(why)
        expect(desk(page)).to_have_attribute("data-trouble", "now")
        expect(now(page)).to_have_text("101")
        expect(page.locator("#last li")).to_have_count(0)
        page.keyboard.press("Escape")
        keys(page, "312")
        expect(desk(page)).to_have_attribute("data-trouble", "")
        all_sent(page)
        assert readings() == [(101, "3124")]

    @pytest.mark.parametrize("mistake", ["117", "7", "33"])
    @pytest.mark.parametrize("noticed", ["Enter", "Backspace", "."])
    def test_typing_on_after_a_mistake_puts_nothing_on_the_wrong_card(self, sit, contest, mistake, noticed):
        page = sit(contest)
        keys(page, mistake + "124231")
        expect(desk(page)).to_have_attribute("data-trouble", "now")
        expect(message(page)).to_contain_text("Press Enter, then type this card again")
        page.keyboard.press(noticed)
        expect(desk(page)).to_have_attribute("data-trouble", "")
        keys(page, "312")
        all_sent(page)
        assert readings() == [(101, "3124")]

    def test_enter_from_habit_does_no_harm(self, sit, contest):
        page = sit(contest)
        for placing in PLACINGS:
            keys(page, placing[:3])
            page.keyboard.press("Enter")
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))

    def test_skipped_numbers_come_again_at_the_end(self, sit, contest):
        page = sit(contest)
        keys(page, "+312+124")
        keys(page, "231213")
        expect(page.locator("[data-part=label]")).to_have_text("Left over: card of contestant")
        expect(now(page)).to_have_text("101")
        keys(page, "-")
        expect(now(page)).to_have_text("103")
        keys(page, "+")
        expect(page.get_by_text("Not read by you: 103")).to_be_visible()
        all_sent(page)
        assert readings(placing="") == [(101, "")]

    def test_someone_who_arrives_late_is_expected_at_the_end(self, sit, contest):
        Contestant.objects.filter(number=103).update(present=False)
        page = sit(contest)
        keys(page, "312124213")
        Contestant.objects.filter(number=103).update(present=True)
        expect(now(page)).to_have_text("105")
        keys(page, "143341")
        expect(now(page)).to_have_text("103")


class TestThreeDigitsOrFour:
    """Every reader is asked before the first card, and from then on everything they type means what they mean."""

    def answered(self, page, key):
        expect(page.get_by_text("How do you type a card")).to_be_visible()
        expect(page.get_by_role("button", name="All four digits")).to_be_focused()
        keys(page, "3124")  # typed without looking: nothing is taken until the answer
        expect(message(page)).to_contain_text("First answer")
        page.keyboard.press(key)
        expect(page.get_by_text("How do you type a card")).to_be_hidden()

    def test_four_are_typed_and_the_answer_is_remembered(self, sit, contest):
        page = sit(contest, digits=None)
        self.answered(page, "Enter")
        expect(page.get_by_text("Type all four digits, best animal first.")).to_be_visible()
        for placing in PLACINGS:
            keys(page, placing)
        all_sent(page)
        assert readings() == list(zip(NUMBERS, PLACINGS, strict=True))
        page.get_by_role("button", name="Take class 2").click()
        expect(page.get_by_role("heading", level=1)).to_contain_text("Class 2")
        for placing in PLACINGS:
            keys(page, placing)
        all_sent(page)
        assert readings(judging_class__number=2) == list(zip(NUMBERS, PLACINGS, strict=True))

    def test_three_digits_are_enough_where_the_next_card_begins_as_the_last_one_ended(self, sit, contest):
        page = sit(contest, digits=None)
        self.answered(page, "+")
        expect(page.get_by_text("Type three digits, best animal first; the fourth follows by itself.")).to_be_visible()
        keys(page, "312" + "421" + "342")  # 3124, 4213, 3421
        keys(page, "123" + "412")  # 1234, 4123
        all_sent(page)
        assert readings() == [(101, "3124"), (102, "4213"), (103, "3421"), (104, "1234"), (105, "4123")]

    def test_the_setting_can_be_changed_at_any_time(self, sit, contest):
        page = sit(contest)
        page.keyboard.press("?")
        page.get_by_label("all four digits").check()
        keys(page, "312")
        expect(now(page)).to_have_text("101")
        keys(page, "4")
        expect(now(page)).to_have_text("102")
        page.get_by_label("three digits a card").check()
        keys(page, "124")
        expect(now(page)).to_have_text("103")


class TestTakingBack:
    def test_z_takes_the_last_one_back_and_its_card_comes_again(self, sit, contest):
        page = sit(contest)
        keys(page, "312124")
        keys(page, "z")
        expect(now(page)).to_have_text("102")
        keys(page, "213")
        expect(now(page)).to_have_text("103")
        all_sent(page)
        assert readings() == [(101, "3124"), (102, "2134")]

    @pytest.mark.parametrize("key", ["Backspace", "."])
    def test_backspace_mends_digits_and_takes_back_only_when_pressed_twice(self, sit, contest, key):
        page = sit(contest)
        keys(page, "31231")
        page.keyboard.press("Backspace")
        page.keyboard.press("Backspace")
        page.keyboard.press(key)
        expect(message(page)).to_contain_text("Once more takes back 101")
        keys(page, "124")  # anything else means no
        expect(now(page)).to_have_text("103")
        page.keyboard.press(key)
        page.keyboard.press(key)
        expect(now(page)).to_have_text("102")
        all_sent(page)
        assert readings() == [(101, "3124")]

    def test_an_earlier_one_by_its_button_with_the_keyboard(self, sit, contest):
        page = sit(contest)
        keys(page, "312124231")
        all_sent(page)
        page.get_by_role("button", name="Take back 101").focus()
        page.keyboard.press("Enter")
        expect(now(page)).to_have_text("101")
        keys(page, "213")
        expect(now(page)).to_have_text("104")
        all_sent(page)
        assert sorted(readings()) == [(101, "2134"), (102, "1243"), (103, "2314")]

    def test_a_settled_one_stays_and_says_why(self, sit, contest):
        for number in NUMBERS:
            read_card(contest.classes.get(number=1), number, "3124", "Bob", f"00000000-0000-4000-8000-{number:012}")
        page = sit(contest)
        keys(page, "312")
        kind(page, 101, "settled")
        keys(page, "z")
        expect(row(page, 101)).to_contain_text("not taken back: that card is settled")
        expect(now(page)).to_have_text("102")
        assert len(readings()) == 7

    def test_one_that_was_never_sent_simply_goes(self, sit, contest):
        page = sit(contest)
        keys(page, "312")
        all_sent(page)
        cut(page)
        keys(page, "124")
        expect(sign(page)).to_have_attribute("data-state", "offline")
        keys(page, "231z")
        restore(page)
        all_sent(page)
        assert readings() == [(101, "3124"), (102, "1243")]
        assert Reading.objects.count() == 2


class TestFates:
    def test_every_reading_shows_what_became_of_it(self, sit, contest):
        judged = contest.classes.get(number=1)
        read_card(judged, 102, "1243", "Bob", "00000000-0000-4000-8000-000000000102")
        page = sit(contest)
        Contestant.objects.filter(number=106).update(present=False)
        keys(page, "312" + "124")
        read_card(judged, 103, "4321", "Bob", "00000000-0000-4000-8000-000000000103")
        keys(page, "231")
        for number in ("999", "106", "101"):
            keys(page, f"/{number}")
            page.keyboard.press("Enter")
            keys(page, "312")
        for number, what in ((102, "settled"), (103, "differs"), (999, "unknown-number"), (106, "absent")):
            kind(page, number, what)
        expect(row(page, 101).nth(0)).to_have_attribute("data-kind", "repeated")
        expect(row(page, 101).nth(1)).to_have_attribute("data-kind", "saved")
        expect(row(page, 103)).to_contain_text("differs from another reading")
        expect(page.get_by_role("alert")).to_contain_text("you have read 101 before")

    def test_a_second_reading_is_blind(self, sit, contest):
        read_card(contest.classes.get(number=1), 101, "4321", "Bob", "00000000-0000-4000-8000-000000000101")
        page = sit(contest)
        assert not stands_in(page.content(), "4321")
        keys(page, "312")
        kind(page, 101, "differs")
        assert not stands_in(page.content(), "4321")

    def test_only_the_last_ten_stay(self, make_page, contest):
        page = make_page(who=(contest, Duty.TABULATOR, "Ann"))
        page.goto(f"/contests/{contest.pk}/desk/classes/1/loose/")
        expect(page.locator("#entry")).to_be_focused()
        for number in range(201, 213):
            keys(page, str(number))
            page.keyboard.press("Enter")
            keys(page, "312")
        all_sent(page)
        expect(page.locator("#last li")).to_have_count(10)
        expect(page.locator("#last .no")).to_have_text([str(number) for number in range(212, 202, -1)])
        page.reload()
        expect(page.locator("#last .no")).to_have_text([str(number) for number in range(212, 202, -1)])

    def test_a_refused_reading_stays_until_it_is_seen_and_its_card_comes_again(self, sit, contest):
        page = sit(contest)
        refusing = True

        def answer(route):
            if refusing and route.request.post_data_json["number"] == 101:
                route.fulfill(status=422, json={"kind": "refused", "text": "the class is gone"})
            else:
                route.continue_()

        page.route("**/desk/readings/", answer)
        keys(page, "312124")
        kind(page, 102, "saved")
        kind(page, 101, "refused")
        expect(row(page, 101)).to_contain_text("the class is gone")
        expect(sign(page)).to_contain_text("1 reading refused")
        page.reload()
        kind(page, 101, "refused")
        refusing = False
        keys(page, "x")
        expect(row(page, 101)).to_have_count(0)
        expect(now(page)).to_have_text("101")
        keys(page, "312")
        all_sent(page)
        assert readings() == [(102, "1243"), (101, "3124")]


class TestTheFocus:
    def test_typing_always_lands(self, sit, contest):
        page = sit(contest)
        expect(page.locator("#entry")).to_be_focused()
        page.locator("h1").click()
        expect(page.locator("#entry")).to_be_focused()
        page.locator(".masthead").click()
        keys(page, "3")
        expect(page.locator("#entry")).to_be_focused()
        page.locator("#sound").focus()
        keys(page, "1")
        page.get_by_role("button", name="unreadable").focus()
        keys(page, "2")
        expect(now(page)).to_have_text("102")
        expect(page.locator("#entry")).to_have_attribute("aria-label", "Placing of 102")

    def test_coming_back_to_the_window_it_is_there_again(self, sit, contest):
        page = sit(contest)
        page.evaluate("window.dispatchEvent(new Event('blur')); document.getElementById('entry').blur()")
        expect(page.get_by_text("Typing goes elsewhere now")).to_be_visible()
        page.evaluate("window.dispatchEvent(new Event('focus'))")
        expect(page.get_by_text("Typing goes elsewhere now")).to_be_hidden()
        expect(page.locator("#entry")).to_be_focused()

    def test_keys_typed_while_the_page_loads_are_not_lost(self, sit, contest):
        page = sit(contest)
        with still_loading(page, "desk-run.js"):
            expect(page.get_by_role("heading", level=1)).to_be_visible()
            keys(page, "312" + "12")
            expect(now(page)).to_have_text("")
        expect(now(page)).to_have_text("102")
        keys(page, "4")
        all_sent(page)
        assert readings() == [(101, "3124"), (102, "1243")]

    def test_what_a_screens_own_keyboard_inserts_counts_as_keys(self, sit, contest):
        page = sit(contest)
        page.keyboard.insert_text("312")
        expect(now(page)).to_have_text("102")

    def test_a_keypad_without_num_lock_is_noticed(self, sit, contest):
        page = sit(contest)
        page.evaluate(
            "document.dispatchEvent(new KeyboardEvent('keydown', {key: 'End', code: 'Numpad1', bubbles: true}))"
        )
        expect(message(page)).to_contain_text("Num Lock is off")

    def test_the_sound_can_be_off_and_stays_off(self, sit, contest):
        page = sit(contest)
        page.keyboard.press("?")
        page.get_by_label("Sound").uncheck()
        page.reload()
        page.keyboard.press("?")
        expect(page.get_by_label("Sound")).not_to_be_checked()


class TestTouch:
    def test_a_stack_is_read_with_fingers_alone(self, make_page, contest):
        page = make_page(who=(contest, Duty.TABULATOR, "Ann"), has_touch=True, **SIZES["phone"])
        page.goto(f"/contests/{contest.pk}/desk/")
        page.get_by_role("button", name="Take it").tap()

        def tap(*names):
            for name in names:
                page.get_by_role("button", name=name, exact=True).tap()

        tap("3", "1", "2")
        expect(now(page)).to_have_text("102")
        page.get_by_role("button", name="no card").tap()
        page.get_by_role("button", name="other number").tap()
        tap("1", "0", "5", "Enter")
        expect(now(page)).to_have_text("105")
        tap("2", "1", "Delete", "3", "1")
        expect(now(page)).to_have_text("103")
        all_sent(page)
        assert readings() == [(101, "3124"), (102, ""), (105, "2314")]


def test_loose_cards_come_in_any_order_each_with_its_number(make_page, contest):
    page = make_page(who=(contest, Duty.TABULATOR, "Ann"))
    page.goto(f"/contests/{contest.pk}/desk/")
    page.get_by_role("link", name="Class 1", exact=True).click()
    expect(page.locator("#entry")).to_be_focused()
    for number, placing in ((105, "3124"), (102, "1243"), (101, "unreadable")):
        keys(page, str(number))
        page.keyboard.press("Enter")
        expect(now(page)).to_have_text(str(number))
        keys(page, "*" if placing == "unreadable" else placing[:3])
        expect(now(page)).to_have_text("")
    keys(page, "*")
    expect(message(page)).to_contain_text("First the number of the card")
    keys(page, "z")
    expect(now(page)).to_have_text("101")
    keys(page, "213")
    all_sent(page)
    assert readings() == [(105, "3124"), (102, "1243"), (101, "2134")]


def test_where_one_reading_is_enough_it_settles(sit, transactional_db):
    contest = a_contest(rules=RulesFactory(readings_per_card=1), contestants=people(2, group="A"), cards=())
    page = sit(contest)
    keys(page, "312")
    kind(page, 101, "settled")


class TestEverybody:
    def test_can_use_the_desk_and_the_room_in_every_state(self, make_page, contest):
        page = make_page(who=(contest, Duty.TABULATOR, "Ann"), digits=None)
        errors = []
        page.on("console", lambda one: errors.append(one.text) if one.type in ("error", "warning") else None)
        room = f"/contests/{contest.pk}/desk/"
        page.goto(room)
        assert_sound_in_every_way(page, "room")
        page.locator("#stack").fill("1Z")
        page.keyboard.press("Enter")
        expect(page.get_by_role("alert")).to_contain_text("class 1 has the groups A")
        assert_sound_in_every_way(page, "room, wrong stack")
        assert [text for text in errors if "422" not in text] == []
        errors.clear()
        page.locator("#stack").fill("1A")
        page.keyboard.press("Enter")
        expect(now(page)).to_have_text("101")
        assert_sound_in_every_way(page, "three digits or four")
        page.keyboard.press("+")
        assert_sound_in_every_way(page, "desk")
        keys(page, "31")
        assert_sound_in_every_way(page, "half a card")
        keys(page, "1")
        assert_sound_in_every_way(page, "a mistake")
        page.keyboard.press("Enter")
        keys(page, "312")
        keys(page, "/999")
        assert_sound_in_every_way(page, "a number")
        page.keyboard.press("Enter")
        keys(page, "312?")
        kind(page, 999, "unknown-number")
        assert_sound_in_every_way(page, "help and a doubt")
        keys(page, "?" + "+" * 10)
        expect(page.get_by_role("button", name="Take class 2")).to_be_visible()
        assert_sound_in_every_way(page, "the end")
        assert errors == []
        cut(page)
        keys(page, "/102")
        page.keyboard.press("Enter")
        keys(page, "312")
        expect(sign(page)).to_have_attribute("data-state", "offline")
        assert_sound_in_every_way(page, "not connected")
        restore(page)
        all_sent(page)
        page.goto(room)
        assert_sound_in_every_way(page, "room, with a stack in hand")
        page.goto(f"{room}classes/1/loose/")
        assert_sound_in_every_way(page, "loose cards")

    def test_the_whole_desk_fits_a_small_laptop_without_scrolling(self, sit, contest):
        page = sit(contest, **SIZES["projector"])
        bottom = page.locator(".legend-keys").bounding_box()
        assert bottom["y"] + bottom["height"] <= 720
