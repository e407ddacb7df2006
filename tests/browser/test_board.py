"""The board and the announcer's page in real browsers: live, in step, read from the back row, and never cut."""

import re
from dataclasses import replace

import pytest
from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Contest, Contestant, Duty
from contest.records import save_record
from scoring.board.choosing import choose, key_wish, list_wish
from scoring.board.queue import queue_lists
from scoring.core.record import Card
from scoring.models import KeyRelease
from tests.browser.test_pages import LONG, assert_sound, console_errors
from tests.contest.watch.cast import read, small_contest
from tests.factories import ClassFactory, ContestantFactory, DivisionFactory, RulesFactory
from tests.scoring.board.cast import OVERALL, TEAMS, ceremony_ready, go, stage
from tests.scoring.results.cast import change_key, ready, release, the_class

SCREENS = [(1280, 720), (3840, 2160), (1024, 768)]
PHONE = (360, 740)
AT_LENGTH = 10_000  # milliseconds for what has no deadline, on a busy machine
ON_THE_BOARD = 2_000  # milliseconds from a reading or a reveal to the board


@pytest.fixture
def demo(transactional_db):
    record = read_book(DEMO_BOOK)
    return save_record(replace(record, rules=replace(record.rules, show_people_as="name")), by="test")


def board_of(contest):
    return f"/board/{contest.pk}/"


def announcer_of(contest):
    return f"/contests/{contest.pk}/announcer/"


def steady(page):
    """An announcer's page that takes keys: for a moment after each move it takes none."""
    expect(page.locator("#stage:not([data-settling])")).to_be_visible()
    return page


LEGIBLE = 42  # pixels at 1280x720: what can be read from 15 m in a bright hall
SMALL_TYPE = """(least) => {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const around = node.parentElement;
    if (!node.textContent.trim() || around.closest("script, noscript, .hidden, .skip")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    if (!range.getClientRects().length || !around.checkVisibility({ visibilityProperty: true })) continue;
    const size = parseFloat(getComputedStyle(around).fontSize);
    if (size < least) found.push([size, node.textContent.trim()]);
  }
  return found;
}"""


def assert_whole(page, where, named_in_full=True):
    """Nothing scrolls, every row that is shown is shown whole, and who is on stage is named in full."""
    page.evaluate("document.fonts.ready")
    page.wait_for_function("document.documentElement.classList.contains('paged')")
    found = page.evaluate(
        """() => {
          const root = document.documentElement;
          const foot = document.querySelector(".foot").offsetHeight
            ? document.querySelector(".foot").getBoundingClientRect().top
            : window.innerHeight;
          const rows = [...document.querySelectorAll("[data-rows] > tr")].filter((row) => row.offsetHeight);
          const boxes = rows.map((row) => [row, row.closest("[data-box]").getBoundingClientRect().bottom]);
          return {
            down: root.scrollHeight - window.innerHeight,
            across: root.scrollWidth - window.innerWidth,
            cut: boxes.filter(([row, end]) => row.getBoundingClientRect().bottom > Math.min(end, foot) + 1).length,
            spilt: [...document.querySelectorAll("[data-box] > table")].filter(
              (table) => table.offsetWidth > table.parentElement.clientWidth
            ).length,
            names: [...document.querySelectorAll(".theatre, .theatre [data-fit]")].filter(
              (part) => part.scrollHeight > 1.15 * part.clientHeight
            ).length,
            rows: rows.length,
          };
        }"""
    )
    rows, names = found.pop("rows"), found.pop("names")
    assert not names or not named_in_full, where
    assert not any(found.values()), (where, found)
    return rows


def every_state(contest):
    """Brings a contest through all that its board may show, and names each."""
    yield "judging"
    for judged in contest.classes.filter(keys__isnull=False).distinct()[:3]:
        KeyRelease.objects.create(judging_class=judged, by="Sue")
    yield "with keys"
    release(contest)
    contest = Contest.objects.get(pk=contest.pk)
    yield "standings"
    queue_lists(contest, [OVERALL, TEAMS], 10, "Sue")
    yield "awaited"
    go(contest, "begin")
    yield "begun"
    go(contest, "next", "next", "next")
    yield "some revealed"
    go(contest, "show")
    yield "all revealed"


SCENES = {
    "with keys": "judging",
    "begun": "ceremony",
    "some revealed": "ceremony",
    "all revealed": "ceremony",
    "one key": "one-key",
    "one list": "standings",
}
"""What the board is in a state that is not called as its scene is."""


def open_board(page, contest, state):
    """A board in this state: what is served may be half a second old, and is another one at its next question."""
    page.goto(board_of(contest))
    expect(page.locator(f"#board.{SCENES.get(state, state)}")).to_be_visible(timeout=AT_LENGTH)


def all_pages(page):
    """Turns the board through every page it has, once, and yields where it is."""
    seen = set()
    while True:
        where = page.evaluate(
            """() => {
              const sheet = [...document.querySelectorAll("[data-sheet]")].find((sheet) => !sheet.hidden);
              return sheet.id + " " + sheet.querySelector("[data-page-of]").textContent;
            }"""
        )
        if where in seen:
            return
        seen.add(where)
        yield where
        page.keyboard.press("ArrowRight")


@pytest.mark.parametrize(("width", "height"), SCREENS)
def test_nothing_scrolls_and_no_row_is_cut_in_any_state(make_page, demo, width, height):
    page = make_page(who=None, width=width, height=height)
    errors = console_errors(page)
    for state in every_state(demo):
        open_board(page, demo, state)
        for where in all_pages(page):
            assert_whole(page, (state, where))
    assert errors == []


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
    page.context.set_offline(True)
    expect(page.get_by_text("Not updated since")).to_be_visible(timeout=30_000)
    assert page.evaluate(SMALL_TYPE, LEGIBLE) == []
    page.context.set_offline(False)
    go(demo, "end")
    choose(demo, list_wish(TEAMS), "Sue")
    look("one list")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Senior, Overall, teams")
    assert seen == {"judging", "standings", "awaited", "ceremony", "one-key"}


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
        assert_sound(page, wish)
        page.get_by_role("button", name=wish).click()
        expect(page).to_have_url(re.compile(r"/entries/$"))

    put("Key of class 2")
    expect(heading).to_have_text("Class 2, Yearling ewes", timeout=AT_LENGTH)
    stage_hand.goto(announcer_of(contest))
    stage_hand.keyboard.press("PageDown")  # the announcer begins, and the board follows
    expect(heading).to_have_text("Senior, Overall, individuals", timeout=AT_LENGTH)
    steady(stage_hand).keyboard.press(".")
    expect(stage_hand.get_by_text("The board is dark.")).to_be_visible()
    expect(board.locator("#board.dark")).to_be_attached(timeout=AT_LENGTH)
    expect(heading).to_have_count(0)
    assert board.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(0, 0, 0)"
    assert board.evaluate(SMALL_TYPE, 1000) == []
    stage_hand.keyboard.press("b")
    expect(heading).to_have_text("Senior, Overall, individuals", timeout=AT_LENGTH)
    go(contest, "end")
    put("Senior, Overall, teams")
    expect(heading).to_have_text("Senior, Overall, teams", timeout=AT_LENGTH)
    board.keyboard.press(".")  # a remote that is plugged into the projector's own computer
    assert board.evaluate(SMALL_TYPE, 1000) == []
    board.keyboard.press(".")
    expect(heading).to_be_visible()
    put("By itself")
    board.goto(board_of(contest))
    expect(heading).to_have_text("Senior, Overall, individuals", timeout=AT_LENGTH)


@pytest.mark.parametrize("reduced", ["reduce", "no-preference"])
def test_whoever_is_first_has_the_whole_board(make_page, transactional_db, reduced):
    contest = ceremony_ready(OVERALL)
    go(contest, "begin", "next", "next", "next")
    page = make_page(who=None, reduced_motion=reduced)
    page.goto(board_of(contest))
    expect(page.locator(".ranking")).to_be_visible()
    go(contest, "next")
    expect(page.locator(".first-place .number")).to_have_text("101", timeout=AT_LENGTH)
    expect(page.locator(".ranking")).to_be_hidden()
    moving = page.locator(".first-place .latest").evaluate("element => getComputedStyle(element).animationName")
    assert moving == ("none" if reduced == "reduce" else "arrive")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_state_is_accessible_and_fits_a_phone(make_page, demo, scheme):
    page = make_page(who=None, width=PHONE[0], height=PHONE[1], color_scheme=scheme)
    large = make_page(who=None, color_scheme=scheme)
    for state in every_state(demo):
        for screen in (page, large):
            screen.goto(board_of(demo))
            assert_sound(screen, state)


def test_on_a_phone_every_row_is_there_to_scroll_to(make_page, demo):
    release(demo)
    page = make_page(who=None, width=PHONE[0], height=PHONE[1])
    page.goto(board_of(demo))
    rows = page.locator("[data-rows] > tr")
    assert rows.count() > 100
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
    page = make_page(who=None)
    page.clock.install()
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


def test_a_reading_on_one_page_is_on_the_board_within_two_seconds(make_page, transactional_db):
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
    expect(page.get_by_text("1 typed in", exact=True)).to_be_visible(timeout=ON_THE_BOARD)
    assert page.evaluate("window.sameVisit")


@pytest.mark.parametrize(("width", "height", "seconds"), [(1280, 720, "1"), (*PHONE, "3")])
def test_a_phone_asks_less_often_than_the_screen_that_all_look_at(make_page, transactional_db, width, height, seconds):
    contest = small_contest()
    page = make_page(who=None, width=width, height=height)
    page.goto(board_of(contest))
    for number in (101, 102):
        read(contest, 1, number, "3124")
        expect(page.get_by_text(f"{number - 100} typed in", exact=True)).to_be_visible(timeout=AT_LENGTH)
        expect(page.locator("#board")).to_have_attribute("data-poll", seconds)


def test_a_lost_network_is_said_plainly_and_caught_up_with(make_page, transactional_db):
    contest = small_contest()
    page = make_page(who=None)
    page.goto(board_of(contest))
    page.context.set_offline(True)
    sign = page.get_by_text(re.compile(r"Not updated since \d\d:\d\d:\d\d"))
    expect(sign).to_be_visible(timeout=30_000)
    assert_whole(page, "offline")
    assert_sound(page, "offline")
    for number in (101, 102, 103):
        read(contest, 1, number, "3124")
    page.context.set_offline(False)
    expect(page.get_by_text("3 typed in", exact=True)).to_be_visible(timeout=AT_LENGTH)
    expect(sign).to_be_hidden()


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
    expect(heading).to_have_text("The awards are next", timeout=AT_LENGTH)
    stage_hand.goto(announcer_of(contest))
    stage_hand.keyboard.press("PageDown")
    expect(stage_hand.get_by_text("0 of 2 revealed")).to_be_visible()
    steady(stage_hand).keyboard.press("PageDown")
    expect(board.locator(".latest .number")).to_have_text("103", timeout=ON_THE_BOARD)
    expect(stage_hand.get_by_text("1 of 2 revealed")).to_be_visible()
    steady(stage_hand).keyboard.press("PageDown")
    expect(board.locator(".latest .number")).to_have_text("101", timeout=ON_THE_BOARD)
    expect(stage_hand.get_by_text("2 of 2 revealed")).to_be_visible()
    steady(stage_hand).get_by_role("button", name="End the ceremony").click()
    expect(heading).to_have_text("Senior, Overall, individuals", timeout=AT_LENGTH)
    first = board.locator("[data-rows] > tr:visible").first
    expect(first).to_contain_text("101")
    change_key(contest)
    desk.goto(results)
    desk.get_by_label("Why the results change").fill("the key was mistyped")
    desk.get_by_role("button", name="Announce the correction").click()
    expect(board.get_by_text(re.compile(r"corrected, \d\d:\d\d, the key was mistyped"))).to_be_visible(
        timeout=AT_LENGTH
    )
    expect(first).to_contain_text("102")
    assert_whole(board, "corrected")


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
        expect(board.get_by_text("4 places")).to_be_visible(timeout=ON_THE_BOARD)
        expect(second.get_by_text("0 of 4 revealed")).to_be_visible(timeout=AT_LENGTH)
        steady(first).keyboard.press("ArrowRight")
        expect(board.get_by_text("104", exact=True)).to_be_visible(timeout=ON_THE_BOARD)
        expect(second.get_by_text("1 of 4 revealed")).to_be_visible(timeout=ON_THE_BOARD)
        steady(second).keyboard.press("PageDown")
        expect(board.get_by_text("Given102x Family102x")).to_be_visible(timeout=ON_THE_BOARD)
        expect(first.get_by_text("2 of 4 revealed")).to_be_visible(timeout=ON_THE_BOARD)
        steady(first).keyboard.press("ArrowLeft")
        expect(board.get_by_text("Given102x Family102x")).to_be_hidden(timeout=ON_THE_BOARD)
        first.on("dialog", lambda dialog: dialog.accept())
        steady(first).get_by_role("button", name="Show the whole list").click()
        expect(board.get_by_text("First", exact=True)).to_be_visible(timeout=ON_THE_BOARD)
        expect(first.get_by_role("button", name=re.compile("Go to the next list"))).to_be_visible()
        steady(first).keyboard.press("Space")
        expect(board.get_by_role("heading", level=1)).to_have_text("Senior, Overall, teams", timeout=ON_THE_BOARD)
        steady(first).get_by_role("button", name="End the ceremony").click()
        expect(board.locator(".standings")).to_be_visible(timeout=AT_LENGTH)
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
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        page.keyboard.press("PageDown")
        expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
        page.keyboard.press("PageDown")
        steady(page).get_by_role("button", name=re.compile("Reveal third place")).dblclick()
        expect(page.get_by_text("2 of 4 revealed")).to_be_visible()
        steady(page)
        assert stage(contest)[1] == 2

    def test_a_press_just_after_the_other_device_moved_is_taken_for_the_same(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        go(contest, "begin")
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        go(contest, "next")
        page.locator("#stage[data-settling]").wait_for()
        page.keyboard.press("Space")
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
        page.keyboard.press("Space")
        expect(page.get_by_text("1 of 4 revealed")).to_be_visible()
        expect(not_sent).to_be_hidden()
        assert stage(contest)[1] == 1

    def test_the_queue_of_a_second_device_stays_in_step_and_loses_nothing_typed(self, make_page, transactional_db):
        contest = ceremony_ready(OVERALL)
        page = make_page(who=(contest, Duty.ANNOUNCER, "Ann"))
        page.goto(announcer_of(contest))
        queue_lists(contest, [TEAMS], 7, "Bea")
        expect(page.locator(".queue ol li")).to_have_count(2, timeout=AT_LENGTH)
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
        up.focus()
        page.keyboard.press("Enter")
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
        expect(page.locator(".script").get_by_text("say GIV en")).to_be_visible(timeout=AT_LENGTH)
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
    assert list(Contestant.objects.filter(number__in=[101, 102]).values_list("say_name", flat=True)) == [
        "second",
        "other",
    ]


@pytest.mark.parametrize(("width", "height"), [(1280, 720), PHONE])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_announcers_pages_fit_and_are_accessible(make_page, demo, width, height, scheme):
    page = make_page(width=width, height=height, color_scheme=scheme)
    errors = console_errors(page)
    for state in every_state(demo):
        page.goto(announcer_of(demo))
        assert_sound(page, state)
    for rest in ("names/", f"names/contestants/{demo.contestants.filter(show_name=True).first().pk}/"):
        page.goto(announcer_of(demo) + rest)
        assert_sound(page, rest)
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
