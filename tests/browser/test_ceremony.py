"""Results announced on real devices: what the announcer presses, and what the board then shows."""

import re

from playwright.sync_api import expect

from contest.models import Contestant, Duty
from scoring.board.queue import queue_lists
from scoring.models import KeyRelease
from tests.browser.boards import (
    PHONE,
    SMALL_TYPE,
    assert_whole,
    board_of,
    every_state,
)
from tests.browser.moments import stopped
from tests.browser.soundness import assert_sound, assert_sound_in_every_way
from tests.browser.test_pages import console_errors
from tests.scoring.board.cast import OVERALL, TEAMS, ceremony_ready, go, stage
from tests.scoring.results.cast import change_key, ready, release, the_class
from tests.waiting import eventually

A_MOMENT = 1_000  # milliseconds, longer than an announcer's page takes no keys for
PRESS_AS_IT_MOVES = """() => new MutationObserver((_, observer) => {
  if (!document.querySelector("#stage[data-settling]")) return;
  observer.disconnect();
  document.body.dispatchEvent(new KeyboardEvent("keydown", { key: " ", bubbles: true, cancelable: true }));
  document.body.dataset.pressed = "";
}).observe(document.body, { subtree: true, childList: true, attributes: true })"""


def announcer_of(contest):
    return f"/contests/{contest.pk}/announcer/"


def steady(page):
    """An announcer's page that takes keys: for a moment after each move it takes none."""
    expect(page.locator("#stage:not([data-settling])")).to_be_visible()
    return page


def test_a_release_its_ceremony_and_a_correction_reach_a_board_that_nobody_touches(make_page, transactional_db):
    contest = ready()
    board, desk = make_page(who=None), make_page()
    stage_hand = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
    heading = board.get_by_role("heading", level=1)
    board.goto(board_of(contest))
    expect(heading).to_have_text("Cards checked")
    queue_lists(contest, [OVERALL], 2, "Ann")
    results = f"/contests/{contest.pk}/results/"
    desk.goto(results)
    for line in desk.get_by_role("checkbox").all():
        line.check()
    desk.get_by_role("button", name="Go on to the release…").click()
    desk.get_by_role("button", name="Release; the awards come first").click()
    expect(heading).to_have_text("The awards are next")
    stage_hand.goto(announcer_of(contest))
    stage_hand.keyboard.press("PageDown")
    expect(stage_hand.get_by_text("0 of 2 revealed")).to_be_visible()
    steady(stage_hand).keyboard.press("PageDown")
    expect(board.locator(".latest .number")).to_have_text("103")
    expect(stage_hand.get_by_text("1 of 2 revealed")).to_be_visible()
    steady(stage_hand).keyboard.press("PageDown")
    expect(board.locator(".latest .number")).to_have_text("101")
    expect(stage_hand.get_by_text("2 of 2 revealed")).to_be_visible()
    steady(stage_hand).get_by_role("button", name="End the ceremony").click()
    expect(heading).to_have_text("Senior, Overall, individuals")
    first = board.locator("[data-rows] > tr:visible").first
    expect(first).to_contain_text("101")
    change_key(contest)
    desk.goto(results)
    desk.get_by_label("Why the results change").fill("the key was mistyped")
    desk.get_by_role("button", name="Announce the correction").click()
    expect(board.get_by_text(re.compile(r"corrected, \d\d:\d\d, the key was mistyped"))).to_be_visible()
    expect(first).to_contain_text("102")
    assert_whole(board, "corrected")


def test_begin_again_says_what_vanishes_before_it_does(make_page, transactional_db):
    contest = ceremony_ready()
    go(contest, "begin", "show", "end")
    page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"), width=PHONE[0], height=PHONE[1])
    errors = console_errors(page)
    page.goto(announcer_of(contest))
    question = page.get_by_text("What everybody can read now vanishes")
    again = page.get_by_text("Begin again")
    expect(again.first).to_be_visible()
    expect(question).to_be_hidden()
    page.keyboard.press("PageDown")
    again.first.click()
    expect(question).to_be_visible()
    assert_sound(page, "asked")
    assert stage(contest)[2] is False
    page.get_by_role("button", name="Take the results away and begin again").click()
    expect(page.get_by_text("0 of 4 revealed")).to_be_visible()
    assert stage(contest)[2] is True
    assert errors == []


def test_the_superintendent_chooses_from_any_page_and_the_remotes_blank_key_darkens(make_page, transactional_db):
    contest = ceremony_ready(OVERALL, TEAMS)
    KeyRelease.objects.create(judging_class=the_class(contest, 2), by="Sue")
    board, page = make_page(who=None), make_page()
    stage_hand = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
    heading = board.get_by_role("heading", level=1)
    board.goto(board_of(contest))

    def put(wish):
        page.goto(f"/contests/{contest.pk}/entries/")
        page.get_by_role("link", name="On the board", exact=True).click()
        expect(page.get_by_role("button", name=wish)).to_be_visible()
        assert_sound(page, wish)
        page.get_by_role("button", name=wish).click()
        expect(page).to_have_url(re.compile(r"/entries/$"))

    put("Key of class 2")
    expect(heading).to_have_text("Class 2, Yearling ewes")
    stage_hand.goto(announcer_of(contest))
    stage_hand.keyboard.press("PageDown")  # the announcer begins, and the board follows
    expect(heading).to_have_text("Senior, Overall, individuals")
    expect(stage_hand.get_by_text("0 of 4 revealed")).to_be_visible()
    steady(stage_hand).keyboard.press(".")
    expect(stage_hand.get_by_text("The board is dark.")).to_be_visible()
    expect(board.locator("#board.dark")).to_be_attached()
    expect(heading).to_have_count(0)
    expect(board.locator("body")).to_have_css("background-color", "rgb(0, 0, 0)")
    assert board.evaluate(SMALL_TYPE, 1000) == []
    stage_hand.keyboard.press("b")
    expect(heading).to_have_text("Senior, Overall, individuals")
    go(contest, "end")
    put("Senior, Overall, teams")
    expect(heading).to_have_text("Senior, Overall, teams")
    board.keyboard.press(".")  # a remote that is plugged into the projector's own computer
    assert board.evaluate(SMALL_TYPE, 1000) == []
    board.keyboard.press(".")
    expect(heading).to_be_visible()
    put("By itself")
    board.goto(board_of(contest))
    expect(heading).to_have_text("Senior, Overall, individuals")


class TestCeremony:
    def test_reveals_go_from_one_device_to_the_board_and_to_a_second_device(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL, TEAMS)
        board = make_page(who=None)
        first = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        second = make_page(who=(contest, Duty.ANNOUNCER, "Bea"))
        board.goto(board_of(contest))
        expect(board.get_by_role("heading", level=1)).to_have_text("The awards are next")
        first.goto(announcer_of(contest))
        second.goto(announcer_of(contest))
        steady(first).keyboard.press("Space")
        expect(first.get_by_text("0 of 4 revealed")).to_be_visible()
        expect(board.get_by_text("4 places")).to_be_visible()
        expect(second.get_by_text("0 of 4 revealed")).to_be_visible()
        steady(first).keyboard.press("ArrowRight")
        expect(board.get_by_text("104", exact=True)).to_be_visible()
        expect(second.get_by_text("1 of 4 revealed")).to_be_visible()
        steady(second).keyboard.press("PageDown")
        expect(board.get_by_text("Given102x Family102x")).to_be_visible()
        expect(first.get_by_text("2 of 4 revealed")).to_be_visible()
        steady(first).keyboard.press("ArrowLeft")
        expect(board.get_by_text("Given102x Family102x")).to_be_hidden()
        expect(first.get_by_text("1 of 4 revealed")).to_be_visible()
        first.on("dialog", lambda dialog: dialog.accept())
        steady(first).get_by_role("button", name="Show the whole list").click()
        expect(board.get_by_text("First", exact=True)).to_be_visible()
        expect(first.get_by_role("button", name=re.compile("Go to the next list"))).to_be_visible()
        steady(first).keyboard.press("Space")
        expect(board.get_by_role("heading", level=1)).to_have_text("Senior, Overall, teams")
        expect(first.get_by_text("0 of 2 revealed")).to_be_visible()
        steady(first).get_by_role("button", name="End the ceremony").click()
        expect(board.locator(".standings")).to_be_visible()
        assert stage(contest)[2] is False

    def test_of_two_who_press_at_once_the_later_is_told_and_nothing_is_revealed_twice(
        self, make_page, transactional_db
    ):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin")
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        # Its polls come to nothing for a while, as in a hall with a bad network.
        page.route(re.compile(r"announcer/\?v="), lambda route: route.abort())
        go(contest, "next")
        steady(page).keyboard.press("Space")
        expect(page.get_by_role("alert")).to_contain_text("somebody else moved on meanwhile")
        expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
        assert stage(contest)[1] == 1
        steady(page).keyboard.press("Space")
        expect(page.get_by_text("2 of 4 revealed")).to_be_visible()

    def test_a_key_held_down_reveals_one_row(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin")
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        for _ in range(4):
            page.keyboard.down("ArrowRight")
        page.keyboard.up("ArrowRight")
        expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
        with page.expect_response(re.compile(r"\?v=")):
            pass
        assert stage(contest)[1] == 1

    def test_fingers_that_bounce_reveal_one_row(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin")
        page = stopped(make_page(who=(contest, Duty.ANNOUNCER, "Ann")))
        page.goto(announcer_of(contest))
        page.keyboard.press("PageDown")
        expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
        page.keyboard.press("PageDown")
        page.clock.run_for(A_MOMENT)
        steady(page).get_by_role("button", name=re.compile("Reveal third place")).dblclick()
        expect(page.get_by_text("2 of 4 revealed")).to_be_visible()
        page.clock.run_for(A_MOMENT)
        steady(page)
        assert stage(contest)[1] == 2

    def test_a_press_just_after_the_other_device_moved_is_taken_for_the_same(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin")
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        page.evaluate(PRESS_AS_IT_MOVES)
        go(contest, "next")
        expect(page.locator("body[data-pressed]")).to_be_attached()
        steady(page)
        assert stage(contest)[1] == 1
        page.keyboard.press("Space")
        expect(page.get_by_text("2 of 4 revealed")).to_be_visible()

    def test_a_press_that_does_not_get_through_is_said_and_counts_once(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin")
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        page.context.set_offline(True)
        page.keyboard.press("Space")
        not_sent = page.get_by_role("alert").filter(has_text="Not sent")
        expect(not_sent).to_be_visible()
        assert_sound(page, "not sent")
        page.context.set_offline(False)
        steady(page).keyboard.press("Space")
        expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
        expect(not_sent).to_be_hidden()
        assert stage(contest)[1] == 1

    def test_the_queue_of_a_second_device_stays_in_step_and_loses_nothing_typed(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        queue_lists(contest, [TEAMS], 7, "Bea")
        expect(page.locator(".queue ol li")).to_have_count(2)
        places = page.get_by_label("places of Senior, Overall, individuals")
        places.fill("3")
        steady(page).get_by_role("button", name="Begin the ceremony").click()
        expect(page.get_by_text("The lists were changed on another device")).to_be_visible()
        expect(places).to_have_value("3")
        page.get_by_role("link", name="Load them again").click()
        page.get_by_role("button", name="Put on stage: Senior, Overall, teams").click()
        expect(page.get_by_text("0 of 2 revealed")).to_be_visible()

    def test_space_on_another_button_means_that_button(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin", "next", "next")
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        back = page.get_by_role("button", name=re.compile("One step back"))
        back.focus()
        steady(page).keyboard.press("Space")
        expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
        expect(back).to_be_focused()
        assert stage(contest)[1] == 1

    def test_everything_is_queued_ordered_and_read_by_keyboard_alone(self, make_page, transactional_db):
        contest = ready()
        release(contest)
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        page.get_by_label("Senior, Overall, individuals").focus()
        steady(page).keyboard.press("Space")
        page.keyboard.press("Tab")
        steady(page).keyboard.press("Space")
        page.get_by_label("Take the results away until then").press("Space")
        page.get_by_label("Places of each").fill("2")
        page.keyboard.press("Enter")
        up = page.get_by_role("button", name="Move up: Senior, Overall, teams")
        up.press("Enter")
        expect(page.locator(".queue li").first).to_contain_text("Senior, Overall, teams")
        steady(page).keyboard.press("ArrowRight")
        expect(page.get_by_text("0 of 2 revealed")).to_be_visible()
        assert_sound(page, "begun by keyboard")
        assert list(contest.award_lists.values_list("kind", "places")) == [("teams", 2), ("individuals", 2)]

    def test_a_note_on_a_name_is_made_during_the_ceremony(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin")
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        page.get_by_role("link", name=re.compile("number 102")).click()
        field = page.get_by_role("textbox", name=re.compile("Given102x"))
        expect(field).to_be_focused()
        page.keyboard.type("GIV en")
        page.keyboard.press("Enter")
        expect(page.locator(".script").get_by_text("say GIV en")).to_be_visible()
        assert stage(contest)[1] == 0


def test_notes_are_typed_one_after_the_other(make_page, transactional_db):
    contest = ceremony_ready(OVERALL)
    page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
    page.goto(f"{announcer_of(contest)}names/")
    first = page.get_by_role("textbox", name=re.compile("Given101x"))
    first.fill("first")
    first.press("Tab")
    expect(page.locator("form", has=first).locator("output")).to_have_text("saved")
    first.fill("second")
    first.press("Enter")
    page.get_by_role("textbox", name=re.compile("Given102x")).fill("other")
    page.get_by_role("textbox", name="Ötztal", exact=True).fill("ERTS-tahl")
    page.keyboard.press("Enter")
    expect(page.locator("output", has_text="saved")).to_have_count(3)
    assert_sound(page, "names")
    said = Contestant.objects.filter(number__in=[101, 102]).values_list("say_name", flat=True)
    eventually(lambda: list(said.all()) == ["second", "other"])


def test_the_announcers_pages_fit_and_are_accessible(make_page, transactional_db):
    contest = ready()
    page = make_page()
    errors = console_errors(page)
    for state in every_state(contest):
        page.goto(announcer_of(contest))
        assert_sound_in_every_way(page, state)
    for rest in ("names/", f"names/contestants/{contest.contestants.filter(show_name=True).first().pk}/"):
        page.goto(announcer_of(contest) + rest)
        assert_sound_in_every_way(page, rest)
    assert errors == []


def test_without_script_it_all_works(make_page, transactional_db):
    contest = ceremony_ready(OVERALL)
    page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"), java_script_enabled=False)
    page.goto(announcer_of(contest))
    page.get_by_role("button", name="Begin the ceremony").click()
    page.get_by_role("button", name=re.compile("Reveal fourth place")).click()
    expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
    page.get_by_role("link", name=re.compile("number 102")).click()
    page.get_by_role("textbox", name=re.compile("Given102x")).fill("GIV en")
    page.get_by_role("button", name=re.compile("Save")).click()
    expect(page.get_by_role("textbox", name=re.compile("Given102x"))).to_have_value("GIV en")
    page.goto(board_of(contest))
    expect(page.get_by_text("104", exact=True)).to_be_visible()
    assert the_class(contest)
