"""Check-in in a real browser, mostly on a phone: whoever comes is found as they are typed, and no arrival is lost."""

import pytest
from playwright.sync_api import expect

from contest.entries.arrivals import check_in
from contest.entries.people import scratch
from contest.models import Contestant, Duty, Team
from tests.browser.moments import still_loading
from tests.browser.soundness import assert_sound
from tests.browser.walks import walk
from tests.contest.entries.cast import contestant, two_divisions


@pytest.fixture
def contest(transactional_db):
    return two_divisions()


@pytest.fixture
def phone(make_page, contest):
    page = make_page(who=(contest, Duty.CHECK_IN, "Ann"), width=360, height=740, has_touch=True)
    page.goto(f"/contests/{contest.pk}/entries/check-in/")
    expect(page.get_by_label("Number, name or team")).to_be_focused()
    return page


def arrived(contest):
    return set(contest.contestants.filter(checked_in_at__isnull=False).values_list("number", flat=True))


def saved(page):
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")


def test_a_hundred_and_twenty_arrive_by_team_in_at_most_150_presses(phone, contest):
    junior = contest.divisions.get(code="JR")
    names = [f"{first}{second}rrow" for first in "DJKLMN" for second in "aeiou"]
    teams = Team.objects.bulk_create(Team(division=junior, name=name) for name in names)
    Contestant.objects.bulk_create(
        Contestant(contest=contest, number=1000 + 10 * n + m, division=junior, team=team, last_name=f"Zed{n}-{m}")
        for n, team in enumerate(teams)
        for m in range(4)
    )
    phone.reload()
    with walk("check in 120 contestants by their 30 teams", actions=60, presses=150) as person:
        for name in names:
            person.type(phone, name[:2].lower())
            person.press(phone, "Enter")
            expect(phone.locator("#results")).to_be_empty()
    saved(phone)
    assert len(arrived(contest)) == 120
    phone.goto(f"/contests/{contest.pk}/entries/check-in/missing/")
    with walk("check in a team that is missing", actions=1) as person:
        person.click(phone.get_by_role("region", name="Barley Hill").get_by_role("button"))
    expect(phone.get_by_role("region", name="Barley Hill")).to_have_count(0)
    saved(phone)
    assert arrived(contest) >= {101, 102, 103}
    assert len(arrived(contest)) == 123


def test_whoever_comes_is_found_by_name_team_or_number_as_it_is_typed(phone, contest):
    junior = contest.divisions.get(code="JR")
    team = Team.objects.create(division=junior, name="Barrow Flats")
    Contestant.objects.bulk_create(
        Contestant(
            contest=contest, number=number, division=junior, team=team, first_name="Zoë", last_name=f"Bark{number}"
        )
        for number in range(300, 312)
    )
    scratch(contestant(contest, 102), "super")
    phone.reload()
    field, rows = phone.get_by_label("Number, name or team"), phone.locator("#results .found > li")
    field.press_sequentially("ba")
    expect(rows).to_have_count(8)  # two teams, and some of those called so
    expect(phone.get_by_text("and 6 more")).to_be_visible()
    assert_sound(phone)
    field.press("Enter")  # nobody in particular is meant: the first row has the focus, and nothing is done
    expect(phone.locator("#results button").first).to_be_focused()
    field.fill("zoe bark305")
    expect(phone.get_by_role("button", name="Check in 305")).to_be_visible()
    field.press("Enter")
    expect(phone.get_by_role("status").filter(has_text="Checked in")).to_be_visible()
    field.fill("barley")
    expect(rows).to_have_count(3)  # the members, under their team
    expect(rows.filter(has_text="102")).to_contain_text("scratched")
    assert_sound(phone)
    phone.get_by_role("button", name="The whole team is here (2)").tap()
    expect(phone.locator("#done")).to_contain_text("101, 103")
    saved(phone)
    assert arrived(contest) == {101, 103, 305}
    assert not contestant(contest, 102).present
    assert_sound(phone)
    phone.get_by_role("button", name="Undo", exact=True).tap()
    expect(phone.locator("#done")).to_contain_text("Not arrived any more")
    saved(phone)
    assert arrived(contest) == {305}
    field.fill("102")  # whoever was scratched is brought back by their own button, never by Enter
    field.press("Enter")
    field.press("Enter")
    saved(phone)
    assert arrived(contest) == {305}
    phone.get_by_role("button", name="Check in 102, present again").tap()
    expect(phone.locator("#done")).to_contain_text("Checked in")
    saved(phone)
    assert arrived(contest) == {102, 305}


def test_arrivals_are_kept_while_the_server_is_away_and_go_out_by_themselves(phone, contest):
    phone.route("**/check-in/**", lambda route: route.abort())
    for typed in ("cobble", "barley"):
        phone.keyboard.type(typed)
        phone.keyboard.press("Enter")
    expect(phone.locator("#sign")).to_contain_text("2 entries kept on this device")
    expect(phone.locator("#progress")).to_have_text("4 of 5 have arrived.")
    assert_sound(phone)
    assert arrived(contest) == set()
    phone.unroute("**/check-in/**")
    phone.reload()
    saved(phone)
    assert arrived(contest) == {101, 102, 103, 104}
    phone.keyboard.type("104")
    expect(phone.get_by_role("alert")).to_contain_text("Already in")
    check_in(contestant(contest, 105), "Bob")  # at another table, which this page does not know yet
    phone.keyboard.press("Control+a")
    phone.keyboard.type("105\n\n")
    expect(phone.locator("#progress")).to_have_text("5 of 5 have arrived.")
    expect(phone.locator("#sign")).to_have_attribute("data-state", "saved")
    expect(phone.locator("#kept")).to_be_empty()


def test_one_tap_checks_in_on_a_phone(phone, contest):
    phone.get_by_label("Number, name or team").fill("104")
    button = phone.get_by_role("button", name="Check in 104")
    box = button.bounding_box()
    assert box["height"] >= 72 and box["width"] >= 280 and box["y"] + box["height"] <= 740
    button.tap()
    expect(phone.get_by_role("status").filter(has_text="Checked in")).to_be_visible()
    saved(phone)
    assert arrived(contest) == {104}
    phone.get_by_role("button", name="Undo").tap()
    expect(phone.get_by_role("status").filter(has_text="Not arrived any more")).to_be_visible()
    saved(phone)
    assert arrived(contest) == set()


def test_a_scanner_or_a_keyboard_needs_enter_twice_and_nobody_is_checked_in_unseen(phone, contest):
    phone.keyboard.type("104\n")
    expect(phone.get_by_role("button", name="Check in 104")).to_be_visible()
    phone.keyboard.type("105\n")  # the next one is scanned before the first was checked in
    expect(phone.get_by_role("button", name="Check in 105")).to_be_visible()
    assert arrived(contest) == set()
    phone.keyboard.press("Enter")
    expect(phone.get_by_role("status").filter(has_text="Checked in")).to_be_visible()
    phone.keyboard.type("999\n")
    expect(phone.get_by_role("alert")).to_contain_text("Nobody has number 999")
    phone.keyboard.press("Control+a")
    phone.keyboard.type("105\n")
    expect(phone.get_by_role("alert")).to_contain_text("Already in")
    phone.keyboard.type("104\n")
    expect(phone.get_by_role("button", name="Check in 104")).to_be_visible()
    phone.keyboard.type("104\n")  # the same one scanned again says yes
    expect(phone.locator("#done")).to_contain_text("104")
    saved(phone)
    assert arrived(contest) == {104, 105}


def test_what_was_typed_before_the_script_came_finds_somebody_too(phone, contest):
    with still_loading(phone, "check-in-people.js"):
        expect(phone.get_by_label("Number, name or team")).to_be_focused()
        phone.keyboard.type("104")
        expect(phone.get_by_label("Number, name or team")).to_have_value("104")
    expect(phone.get_by_role("button", name="Check in 104")).to_be_visible()


def test_check_in_needs_no_script(make_page, contest):
    page = make_page(java_script_enabled=False)
    page.goto(f"/contests/{contest.pk}/entries/check-in/")
    page.get_by_label("Number, name or team").fill("104")
    page.get_by_role("button", name="Show").click()
    page.get_by_role("button", name="Check in 104").click()
    expect(page.locator("#done")).to_contain_text("Checked in")
    page.get_by_label("Number, name or team").fill("barley")
    page.get_by_role("button", name="Show").click()
    page.get_by_role("button", name="The whole team is here (3)").click()
    expect(page.locator("#done")).to_contain_text("Checked in")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#done")).to_contain_text("Not arrived any more")
    assert arrived(contest) == {104}
