"""A stack that is perhaps another one: the desk asks, and all that was read of it goes back at once."""

from uuid import uuid4

from playwright.sync_api import expect

from contest.models import Reading
from tests.browser.desk.hands import NUMBERS, PLACINGS, all_sent, desk, keys, message, now, progress, readings
from tests.browser.test_pages import assert_sound
from tests.browser.walks import walk
from tests.factories import ClassFactory, a_contest, people
from tests.slips import read_card


def read_by_ann(contest):
    for number, placing in zip(NUMBERS, PLACINGS, strict=True):
        read_card(contest.classes.get(number=1), number, placing, "Ann", uuid4())


def of_ben():
    return readings(by="Ben")


def test_three_in_a_row_that_differ_stop_the_desk_and_all_goes_back_and_forth_at_once(sit, contest):
    read_by_ann(contest)
    page = sit(contest, "Ben")
    for number in NUMBERS[:3]:
        expect(now(page)).to_have_text(str(number))
        keys(page, "421")
    expect(desk(page)).to_have_attribute("data-mode", "whole")
    expect(page.get_by_text("Is this really class 1, group A, the right way up?", exact=True)).to_be_visible()
    assert_sound(page, "is this really that stack")
    keys(page, "31")
    expect(message(page)).to_have_text("First answer: is this really that stack?")
    with walk("take back all that was read of a wrong stack, asked by the desk", actions=1) as person:
        person.press(page, "z")
    expect(now(page)).to_have_text("101")
    expect(progress(page)).to_have_text("0 of 6 read")
    all_sent(page)
    assert of_ben() == []
    page.get_by_role("button", name="Bring it all back").click()
    expect(progress(page)).to_have_text("3 of 6 read")
    assert of_ben() == [(101, "4213"), (102, "4213"), (103, "4213")]


def test_whoever_is_sure_is_not_asked_again_and_takes_all_back_by_one_press(sit, contest):
    read_by_ann(contest)
    page = sit(contest, "Ben")
    for number in NUMBERS[:3]:
        expect(now(page)).to_have_text(str(number))
        keys(page, "421")
    expect(desk(page)).to_have_attribute("data-mode", "whole")
    keys(page, "y")
    for _ in range(3):
        keys(page, "421")
    all_sent(page)
    expect(desk(page)).to_have_attribute("data-mode", "end")
    assert len(of_ben()) == 6
    with walk("take back all that was read of a stack", actions=1) as person:
        person.click(page.get_by_role("button", name="Take back all that I read of this stack"))
    all_sent(page)
    expect(progress(page)).to_have_text("0 of 6 read")
    assert of_ben() == []
    assert Reading.objects.filter(by="Ben").count() == 6
    page.reload()
    expect(now(page)).to_have_text("101")


def test_a_stack_that_looks_mixed_up_is_asked_of_once_it_ends_and_not_before(sit, contest):
    said = "Class 1, group A: the 6 cards fit better from last to first, 274 against 151 points."
    page = sit(contest)
    page.route("**/looks/**", lambda route: route.fulfill(json={"mixed_up": said}))
    keys(page, "312124231")
    all_sent(page)
    expect(now(page)).to_have_text("104")
    keys(page, "213143341")
    expect(page.get_by_text("Is this really class 1, group A, the right way up?", exact=True)).to_be_visible()
    expect(page.get_by_text(said, exact=True)).to_be_visible()
    assert_sound(page, "a stack that looks mixed up")
    keys(page, "z")
    expect(progress(page)).to_have_text("0 of 6 read")


def test_every_tenth_card_asks_for_the_number_that_is_written_on_it(sit, db):
    contest = a_contest(classes=(ClassFactory(official=None, cuts=None),), contestants=people(12, group="A"), cards=())
    page = sit(contest)
    for number in range(101, 110):
        expect(now(page)).to_have_text(str(number))
        keys(page, PLACINGS[number % 6][:3])
    expect(page.get_by_text("Every tenth card: the number written on it, then Enter")).to_be_visible()
    expect(now(page)).to_have_text("")
    assert_sound(page, "the tenth card")
    keys(page, "111")
    page.keyboard.press("Enter")
    expect(message(page)).to_contain_text("110 was expected. Is a card missing")
    expect(now(page)).to_have_text("111")
    keys(page, "312")
    expect(now(page)).to_have_text("110")
    keys(page, "134")
    expect(now(page)).to_have_text("112")
    all_sent(page)
    assert readings()[-2:] == [(111, "3124"), (110, "1342")]


def test_where_it_is_the_one_expected_reading_goes_on(sit, db):
    contest = a_contest(classes=(ClassFactory(official=None, cuts=None),), contestants=people(12, group="A"), cards=())
    for number in range(101, 109):
        read_card(contest.classes.get(), number, "3124", "Ann", uuid4())
    page = sit(contest, now_is="109")
    keys(page, "312")
    keys(page, "110")
    page.keyboard.press("Enter")
    expect(message(page)).to_have_text("The pile lies as expected.")
    keys(page, "134")
    all_sent(page)
    assert readings()[-1] == (110, "1342")
