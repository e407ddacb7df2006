"""The board in real browsers: live, read from the back row, and never cut."""

import re

import pytest
from playwright.sync_api import expect

from contest.models import Duty, Event
from scoring.board.choosing import choose, key_wish, list_wish, picture_wish
from scoring.board.day import DAY
from scoring.core.record import Card
from scoring.events.changing import release_event, save_event
from tests.browser.boards import (
    LEGIBLE,
    PHONE,
    SMALL_TYPE,
    all_pages,
    assert_whole,
    board_of,
    demo_with_names,
    every_state,
    open_board,
)
from tests.browser.moments import stopped
from tests.browser.soundness import assert_sound, assert_sound_in_every_light
from tests.browser.test_pages import LONG, console_errors
from tests.contest.watch.cast import read, small_contest
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, RulesFactory
from tests.scoring.board.cast import OVERALL, TEAMS, ceremony_ready, go
from tests.scoring.results.cast import ready, release

SCREENS = [(1280, 720), (3840, 2160), (1024, 768)]


@pytest.fixture
def demo(transactional_db):
    return demo_with_names()


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_nothing_scrolls_and_no_row_is_cut_in_any_state(make_page, demo, width, height):
    page = make_page(who=None, width=width, height=height)
    errors = console_errors(page)
    for state in every_state(demo):
        open_board(page, demo, state)
        for where in all_pages(page):
            assert_whole(page, (state, where))
    assert errors == []


def test_nothing_on_a_projector_is_smaller_than_the_back_row_can_read(make_page, demo):
    page = make_page(who=None)

    def look(state):
        open_board(page, demo, state)
        for where in all_pages(page):
            assert page.evaluate(SMALL_TYPE, LEGIBLE) == [], (state, where)
        expect(page.locator("main button:visible, main a:visible")).to_have_count(0)  # no furniture
        seen.add(page.locator("#board").get_attribute("class").split()[1])

    seen = set()
    for state in every_state(demo):
        look(state)
    number = demo.classes.filter(key_release__isnull=False).first().number
    choose(demo, key_wish(number), "Sue")
    look("one key")
    expect(page.locator("#board .theatre .key")).to_be_visible()
    choose(demo, picture_wish(number), "Sue")
    look("picture")
    expect(page.locator("#board .wide svg")).to_be_visible()
    page.context.set_offline(True)
    expect(page.get_by_text("Not updated since")).to_be_visible()
    assert page.evaluate(SMALL_TYPE, LEGIBLE) == []
    page.context.set_offline(False)
    go(demo, "end")
    choose(demo, list_wish(TEAMS), "Sue")
    look("one list")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Senior, Overall, teams")
    other = ready()
    day = save_event(Event(name="County Day"), [demo, other], None, "Sue")
    release(other)
    release_event(day, "Sue")
    choose(demo, DAY, "Sue")
    look("sweepstakes")
    assert seen == {"judging", "standings", "awaited", "ceremony", "one-key", "picture", "sweepstakes"}


@pytest.mark.parametrize("reduced", ["reduce", "no-preference"])
def test_whoever_is_first_has_the_whole_board(make_page, transactional_db, reduced):
    contest = ceremony_ready(OVERALL)
    go(contest, "begin", "next", "next", "next")
    page = make_page(who=None, reduced_motion=reduced)
    page.goto(board_of(contest))
    expect(page.locator(".ranking")).to_be_visible()
    go(contest, "next")
    expect(page.locator(".first-place .number")).to_have_text("101")
    expect(page.locator(".ranking")).to_be_hidden()
    moving = page.locator(".first-place .latest").evaluate("element => getComputedStyle(element).animationName")
    assert moving == ("none" if reduced == "reduce" else "arrive")


def test_every_state_is_accessible_and_fits_a_phone(make_page, transactional_db):
    contest = ready()
    page = make_page(who=None, width=PHONE[0], height=PHONE[1])
    large = make_page(who=None)
    for state in every_state(contest):
        for screen in (page, large):
            screen.goto(board_of(contest))
            assert_sound_in_every_light(screen, state)


def test_on_a_phone_every_row_is_there_to_scroll_to(make_page, demo):
    release(demo)
    page = make_page(who=None, width=PHONE[0], height=PHONE[1])
    page.goto(board_of(demo))
    rows = page.locator("[data-rows] > tr")
    expect(rows.nth(100)).to_be_attached()
    expect(rows.last).to_be_visible()
    page.get_by_role("link", name="Senior, Overall, teams").click()
    expect(page.get_by_role("heading", name="Senior, Overall, teams")).to_be_in_viewport()


def test_all_rows_of_all_lists_come_past_once(make_page, demo):
    release(demo)
    page = make_page(who=None)
    page.goto(board_of(demo))
    total = page.locator("[data-rows] > tr").count()
    assert sum(assert_whole(page, where) for where in all_pages(page)) == total


@pytest.mark.parametrize(("width", "height"), [(1280, 720), PHONE])
def test_long_and_foreign_names_fit(make_page, transactional_db, width, height):
    contest = ready(
        rules=RulesFactory(show_people_as="name", name=LONG),
        divisions=(DivisionFactory(name=LONG, team_counting=2),),
        contestants=tuple(
            ContestantFactory(number=number, team=team, first_name=first, last_name=LONG)
            for number, team, first in [
                (101, "Barley Hill", LONG),
                (102, "Barley Hill", "محمد"),
                (103, "Ötztal", "Šťastná"),
                (104, "Ötztal", ""),
                (123456789, LONG, LONG),
            ]
        ),
    )
    page = make_page(who=None, width=width, height=height)
    for state in every_state(contest):
        page.goto(board_of(contest))
        assert_sound(page, state)
        if width > PHONE[0]:
            assert_whole(page, state, named_in_full=False)  # nobody is called by hundreds of letters


ASSOCIATION = "Upper Barleyfield and Lower Oatmeadow Young Stockmen's and Stockwomen's Combined Association"


def test_sixty_members_of_one_team_and_twelve_groups_fit(make_page, transactional_db):
    members = tuple(
        ContestantFactory(
            number=number,
            team=ASSOCIATION if number < 160 else "نادي الخيول العربية الأصيلة في الوادي",
            first_name="Maximiliana-Evangeline",
            last_name="Vandersloot-Abercrombington",
            group=f"Ring {number % 12 + 1}",
        )
        for number in range(100, 170)
    )
    contest = ready(
        rules=RulesFactory(show_people_as="name"),
        divisions=(DivisionFactory(team_counting=60),),
        classes=tuple(ClassFactory(number=number, name=ASSOCIATION) for number in range(1, 16)),
        contestants=members,
        cards=tuple(Card(1, person.number, "3124", "3124") for person in members),
        reasons=(),
        marks=(),
        parts=(),
    )
    page = make_page(who=None)
    for state in every_state(contest):
        page.goto(board_of(contest))
        for where in all_pages(page):
            assert_whole(page, (state, where))
    go(contest, "next", "show")
    page.goto(board_of(contest))
    expect(page.locator(".latest")).to_contain_text(ASSOCIATION)
    expect(page.locator(".latest")).to_contain_text("60 count")
    assert_whole(page, "the team")


def test_it_turns_its_pages_by_itself_unless_it_is_held(make_page, demo):
    release(demo)
    page = stopped(make_page(who=None))
    page.goto(board_of(demo))
    said = page.locator(".sheet:not([hidden]) [data-page-of]")
    expect(said).to_have_text("page 1 of 2")
    page.clock.run_for(7_000)
    expect(said).to_have_text("page 1 of 2")
    page.clock.run_for(9_000)
    expect(said).to_have_text("page 2 of 2")
    page.keyboard.press("Space")
    page.clock.run_for(120_000)
    expect(said).to_have_text("page 2 of 2")
    page.keyboard.press("Space")
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile("teams"))
    page.keyboard.press("ArrowLeft")
    expect(said).to_have_text("page 2 of 2")


def test_a_reading_on_one_page_comes_to_the_board_by_itself(make_page, transactional_db):
    contest = small_contest()
    page, desk = make_page(who=None), make_page(who=(contest, Duty.TABULATOR, "Ann"))
    page.goto(board_of(contest))
    page.evaluate("window.sameVisit = true")
    desk.goto(f"/contests/{contest.pk}/desk/")
    desk.locator("#stack").fill("1A")
    desk.keyboard.press("Enter")
    expect(desk.locator("[data-part=now]")).to_have_text("101")
    expect(page.get_by_text("0 typed in", exact=True)).to_be_visible()
    for key in "+312":  # three places say the fourth
        desk.keyboard.press(key)
    expect(page.get_by_text("1 typed in", exact=True)).to_be_visible()
    assert page.evaluate("window.sameVisit")


@pytest.mark.parametrize(("width", "height", "seconds"), [(1280, 720, "1"), (*PHONE, "3")])
def test_a_phone_asks_less_often_than_the_screen_that_all_look_at(make_page, transactional_db, width, height, seconds):
    contest = small_contest()
    page = make_page(who=None, width=width, height=height)
    page.goto(board_of(contest))
    for number in (101, 102):
        read(contest, 1, number, "3124")
        expect(page.get_by_text(f"{number - 100} typed in", exact=True)).to_be_visible()
        expect(page.locator("#board")).to_have_attribute("data-poll", seconds)


def test_a_lost_network_is_said_plainly_and_caught_up_with(make_page, transactional_db):
    contest = small_contest()
    page = make_page(who=None)
    page.goto(board_of(contest))
    page.context.set_offline(True)
    sign = page.get_by_text(re.compile(r"Not updated since \d\d:\d\d:\d\d"))
    expect(sign).to_be_visible()
    assert_whole(page, "offline")
    assert_sound(page, "offline")
    for number in (101, 102, 103):
        read(contest, 1, number, "3124")
    page.context.set_offline(False)
    expect(page.get_by_text("3 typed in", exact=True)).to_be_visible()
    expect(sign).to_be_hidden()
