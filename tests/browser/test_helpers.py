"""Coming in, being shown out, and the page about helpers, in a real browser."""

import re

import pytest
from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.helpers.codes import SHARED, codes_of
from contest.helpers.joining import show_out
from contest.helpers.superintendents import set_password
from contest.models import Duty, Helper, Reading
from contest.records import save_record
from tests.browser.soundness import assert_sound, assert_sound_at_every_width
from tests.browser.test_pages import console_errors

PASSWORD = "hay-bale-sunrise"
LONG = "Grünwälder-Šťastná " + "Unbreakable" * 3


@pytest.fixture
def contest(transactional_db):
    return save_record(read_book(DEMO_BOOK), by="test")


def press(page, *keys):
    for key in keys:
        page.keyboard.press(key)


def test_a_helper_comes_in_by_the_keyboard_alone_and_leaves(make_page, contest, size):
    page = make_page(who=None, **size)
    page.goto("/")
    page.get_by_role("link", name="I help here").press("Enter")
    expect(page.get_by_label("Your name")).to_be_focused()
    page.keyboard.type("Ann")
    press(page, "Tab")
    page.keyboard.type(codes_of(contest)[Duty.TABULATOR].lower().replace("-", ""))
    press(page, "Enter")
    expect(page).to_have_url(re.compile(rf"/contests/{contest.pk}/desk/[?]welcome$"))
    expect(page.get_by_role("banner")).to_contain_text("Ann, tabulator")
    page.get_by_role("button", name="Leave").press("Enter")
    expect(page).to_have_url(re.compile("/join/$"))
    assert Helper.objects.get().left_at


def test_who_has_just_joined_practises_and_comes_back_without_a_cookie_under_the_same_name(make_page, contest):
    def join(page):
        page.goto(f"/join/?code={codes_of(contest)[Duty.TABULATOR]}")
        page.get_by_label("Your name").fill("Ann")
        press(page, "Enter")

    before = Reading.objects.count()
    page = make_page(who=None)
    join(page)
    expect(page.get_by_text("Welcome, Ann. Choose a stack that is free")).to_be_visible()
    page.get_by_role("link", name="Practise first").click()
    expect(page.locator("#last")).to_be_attached()
    assert_sound(page, "practice, asked")
    press(page, "+")
    page.keyboard.type("312" + "142")
    expect(page.locator("#last")).to_contain_text("look again: that is not what it says")
    page.keyboard.type("z143" + "421" + "u-")
    expect(page.locator("#last li[data-kind=right]")).to_have_count(5)
    assert_sound(page, "practice, done")
    page.get_by_role("button", name="To the room, for a real stack").click()
    expect(page.get_by_role("heading", name="Tabulation room")).to_be_visible()
    assert Reading.objects.count() == before

    page.context.clear_cookies()
    join(page)
    expect(page.get_by_role("banner")).to_contain_text("Ann, tabulator")
    other = make_page(who=None)
    join(other)
    expect(other.get_by_text("Somebody called Ann helps here already.")).to_be_visible()
    assert [helper.left_at for helper in contest.helpers.all()] == [None]


def test_the_square_brings_the_code_and_asks_for_the_name_alone(make_page, contest):
    page = make_page(who=None)
    page.goto(f"/join/?code={codes_of(contest)[Duty.ANNOUNCER]}")
    expect(page.get_by_label("Your name")).to_be_focused()
    page.keyboard.type("Al")
    press(page, "Enter")
    expect(page.get_by_role("banner")).to_contain_text("Al, announcer")


def test_what_is_refused_is_said_beside_it_and_can_be_mended(make_page, contest, size):
    page = make_page(who=None, **size)
    page.goto("/join/")
    assert_sound(page, "join")
    page.get_by_label("Your name").fill("Ann")
    page.get_by_label("Join code").fill("AAAA-AAAA")
    press(page, "Enter")
    expect(page.get_by_text("That is not a join code.")).to_be_visible()
    expect(page.get_by_label("Your name")).to_have_value("Ann")
    expect(page.get_by_label("Join code")).to_have_value("AAAA-AAAA")
    expect(page.get_by_label("Join code")).to_be_focused()
    assert_sound(page, "join, refused")


def test_the_superintendent_signs_in_and_out(make_page, contest, size):
    set_password("Sue", PASSWORD, "test")
    page = make_page(who=None, **size)
    page.goto("/")
    page.get_by_role("link", name="Sign in as the superintendent").click()
    expect(page.get_by_label("Password")).to_be_visible()
    assert_sound(page, "sign in")
    page.get_by_label("Name").fill("Sue")
    page.get_by_label("Password").fill("wrong")
    press(page, "Enter")
    expect(page.get_by_text("do not belong together")).to_be_visible()
    assert_sound(page, "sign in, refused")
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Enter")
    expect(page.get_by_role("heading", name="Contests")).to_be_visible()
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", name="Superintendent")).to_be_visible()
    page.goto(f"/contests/{contest.pk}/")
    expect(page).to_have_url(re.compile("/join/"))


def test_the_page_about_helpers_is_sound_and_says_who_is_in(make_page, as_helper, contest):
    for number, duty in enumerate(Duty):
        as_helper(contest, duty, f"{LONG} {number}")
    page = make_page()
    errors = console_errors(page)
    page.goto(f"/contests/{contest.pk}/helpers/")
    expect(page.get_by_role("button", name=f"Show out {LONG} 0")).to_be_visible()
    assert_sound_at_every_width(page, "helpers")
    page.get_by_text("New code for tabulator").click()
    assert_sound_at_every_width(page, "helpers, new code")
    assert errors == []


def test_the_longest_name_fits_into_every_masthead(make_page, contest):
    page = make_page(who=(contest, Duty.TABULATOR, LONG))
    for address in (f"/contests/{contest.pk}/lobby/", "/join/"):
        page.goto(address)
        expect(page.get_by_role("banner")).to_contain_text(LONG)
        assert_sound_at_every_width(page, address)


def test_pages_can_be_read_in_the_dark(make_page, as_helper, contest):
    as_helper(contest, Duty.KEYS)
    page = make_page(color_scheme="dark")
    for address in (f"/contests/{contest.pk}/helpers/", "/join/"):
        page.goto(address)
        assert_sound(page, address)
    page = make_page(who=(contest, Duty.TABULATOR, "Bob"), color_scheme="dark")
    for address in (f"/contests/{contest.pk}/lobby/", "/join/"):
        page.goto(address)
        assert_sound(page, address)


def test_a_newcomer_appears_by_itself_and_the_keyboard_keeps_its_place(make_page, as_helper, contest):
    as_helper(contest, Duty.TABULATOR, "Ann")
    page = make_page()
    page.goto(f"/contests/{contest.pk}/helpers/")
    button = page.get_by_role("button", name="Show out Ann")
    button.focus()
    as_helper(contest, Duty.TABULATOR, "Bob")
    expect(page.get_by_role("button", name="Show out Bob")).to_be_visible()
    expect(button).to_be_focused()
    press(page, "Enter")
    expect(page.get_by_role("button", name="Show out Ann")).to_have_count(0)
    expect(page.get_by_role("button", name="Show out Bob")).to_be_visible()


def test_one_who_is_shown_out_is_out_at_the_next_click(make_page, contest):
    page = make_page(who=(contest, Duty.TABULATOR, "Ann"))
    page.goto(f"/contests/{contest.pk}/lobby/")
    show_out(Helper.objects.get(), by="superintendent")
    page.get_by_role("link", name="Tanbark").click()
    expect(page.get_by_text("You are out.")).to_be_visible()
    assert_sound(page, "join, shown out")


def test_a_new_code_takes_the_place_of_the_old(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/helpers/")
    old = codes_of(contest)[Duty.KEYS]
    page.get_by_text("New code for keys").click()
    page.locator("#keys").get_by_role("button", name="Make a new code").click()
    expect(page.get_by_text(old)).to_have_count(0)
    expect(page.get_by_text(codes_of(contest)[Duty.KEYS])).to_be_visible()


def test_on_paper_there_is_one_sheet_for_each_duty(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/helpers/")
    expect(page.get_by_role("button", name="Print a sheet for each duty")).to_be_visible()
    assert len(re.findall(rb"/Type /Page\b", page.pdf())) == len(SHARED)
    page.emulate_media(media="print")
    expect(page.get_by_role("heading", name="Who is in")).to_be_hidden()
    expect(page.locator("#tabulator .begin")).to_be_visible()


def test_the_address_is_selected_to_be_copied(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/helpers/")
    field = page.get_by_label("They open this address")
    field.click()
    assert page.evaluate("getSelection().toString()") == field.input_value()
