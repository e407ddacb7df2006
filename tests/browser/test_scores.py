"""Reasons scores and marks in real browsers: the keyboard alone, two at one sheet, cut off from the network."""

import re

import pytest
from playwright.sync_api import expect

from contest.helpers.codes import codes_of
from contest.helpers.joining import show_out
from contest.models import Duty, Helper, Mark, MarkReading, ReasonsReading, ReasonsScore
from reasons.scores.officials import add_official
from tests.browser.moments import still_loading
from tests.browser.soundness import assert_sound_in_every_way
from tests.reasons.cast import contest_with_reasons


@pytest.fixture
def contest(transactional_db):
    return contest_with_reasons()


@pytest.fixture
def official(contest):
    return add_official(contest, "Mr. Brook", "test")


@pytest.fixture
def sit(make_page, contest, official):
    """Sits a helper down at Mr. Brook's scores of class 3, or at another sheet."""

    def sit(name="Ann", sheet=None, now_is="101", **options):
        page = make_page(who=(contest, Duty.REASONS, name), **options)
        page.goto(address(contest, sheet or f"reasons/3/{official.pk}/"))
        expect(now(page)).to_have_text(now_is)
        return page

    return sit


def address(contest, what=""):
    return f"/contests/{contest.pk}/scores/{what}"


def now(page):
    return page.locator("[data-part=now]")


def typed(page):
    return page.locator("[data-part=typed]")


def message(page):
    return page.locator("[data-part=message]")


def row(page, whose):
    return page.locator("#last li").filter(has=page.locator(".no", has_text=re.compile(f"^{whose}$"))).first


def kind(page, whose, what):
    expect(row(page, whose)).to_have_attribute("data-kind", what)


def keys(page, text):
    """Types; a new line is Enter."""
    for key in text:
        page.keyboard.press("Enter" if key == "\n" else key)


def all_sent(page):
    expect(page.locator("#sign")).to_have_attribute("data-state", "saved")
    expect(page.locator("#last li[data-kind=waiting]")).to_have_count(0)


def readings(**which):
    rows = ReasonsReading.objects.filter(withdrawn_at=None, **which).order_by("pk")
    return list(rows.values_list("contestant__number", "hundredths"))


def scores():
    rows = ReasonsScore.objects.order_by("contestant__number")
    return list(rows.values_list("contestant__number", "hundredths", "state"))


def test_from_the_list_to_the_end_of_a_sheet_with_the_keyboard_alone(make_page, contest, official):
    page = make_page(who=(contest, Duty.REASONS, "Ann"))
    page.goto(address(contest))
    link = page.get_by_role("link", name="Mr. Brook on class 3")
    for _ in range(20):
        page.keyboard.press("Tab")
        if link.evaluate("link => link === document.activeElement"):
            break
    expect(link).to_be_focused()
    page.keyboard.press("Enter")
    for number, points in ((101, "43"), (102, "4"), (103, "43.25")):
        expect(now(page)).to_have_text(str(number))
        keys(page, points)
        expect(typed(page)).to_have_text(points)
        keys(page, "\n\n" if points == "4" else "\n")
    expect(page.get_by_text("You have entered all that is left for you here.")).to_be_visible()
    all_sent(page)
    assert readings() == [(101, 4300), (102, 400), (103, 4325)]
    expect(page.get_by_role("button", name="Back to all scores")).to_be_visible()
    keys(page, "+")
    expect(page.get_by_role("heading", name="Scores", exact=True)).to_be_visible()
    expect(page.get_by_text("3 of 3 read, 3 of them once")).to_be_visible()


def test_five_invented_slips_are_there_to_practise_on_and_nothing_of_them_is_kept(make_page, contest):
    page = make_page(who=(contest, Duty.REASONS, "Ann"))
    page.goto(address(contest, "practice/"))
    expect(now(page)).to_have_text("901")
    keys(page, "43\n38\n")
    expect(row(page, "902")).to_contain_text("look again: that is not what it says")
    keys(page, "z38.5\n41\n-46.5\n")
    expect(page.locator("#last li[data-kind=right]")).to_have_count(5)
    page.get_by_role("button", name="Back to all scores").click()
    expect(page.get_by_role("heading", name="Scores", exact=True)).to_be_visible()
    assert readings() == []


def test_two_browsers_that_agree_settle_every_score(sit):
    ann, ben = sit("Ann"), sit("Ben")
    keys(ann, "43\n35.5\n0\n\n")
    keys(ben, "43\n35.5\n0\n\n")
    for page in (ann, ben):
        all_sent(page)
    assert scores() == [(101, 4300, "settled"), (102, 3550, "settled"), (103, 0, "settled")]


def test_that_no_score_was_given_is_one_key_and_two_who_say_so_settle_it(sit):
    ann, ben = sit(), sit("Ben")
    for page in (ann, ben):
        keys(page, "-43\n")
        kind(page, "101", "saved" if page is ann else "settled")
        expect(row(page, "101")).to_contain_text("no score")
        all_sent(page)
    assert scores()[:2] == [(101, None, "settled"), (102, 4300, "settled")]
    keys(ann, "z")
    expect(message(ann)).to_contain_text("102")
    keys(ben, "4-")
    expect(message(ben)).to_have_text("Finish this score first, or clear it with Backspace.")


def test_two_browsers_that_differ_raise_a_doubt_and_learn_no_more_than_that(sit):
    ann = sit("Ann")
    keys(ann, "41.25\n")  # no clock ever shows that
    kind(ann, "101", "saved")
    ben = sit("Ben")
    expect(ben.get_by_text("41.25")).to_have_count(0)
    keys(ben, "34\n")
    kind(ben, "101", "differs")
    expect(message(ben)).to_contain_text("differs from another reading")
    expect(ben.get_by_text("41.25")).to_have_count(0)
    expect(ann.get_by_text("41.25")).not_to_have_count(0)
    assert scores() == [(101, 4125, "doubt")]


def test_the_network_is_cut_and_comes_back_in_the_middle_of_a_sheet(sit, contest):
    page = sit()
    keys(page, "43\n")
    kind(page, "101", "saved")
    page.context.set_offline(True)
    keys(page, "44\n50.5")
    expect(message(page)).to_contain_text("50.5 is too much")
    page.keyboard.press("Backspace")
    keys(page, "50\n")
    expect(page.locator("#sign")).to_have_attribute("data-state", "offline")
    expect(page.locator("#sign")).to_contain_text("2 readings kept on this laptop")
    assert readings() == [(101, 4300)]
    page.context.set_offline(False)
    all_sent(page)
    assert readings() == [(101, 4300), (102, 4400), (103, 5000)]


def test_what_waits_outlives_a_reload_and_goes_out_from_the_list_too(sit, contest):
    page = sit()
    page.route("**/readings/", lambda route: route.abort())
    keys(page, "43\n44\n")
    kind(page, "102", "waiting")
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    expect(now(page)).to_have_text("103")
    kind(page, "101", "waiting")
    page.unroute("**/readings/")
    page.goto(address(contest))
    expect(page.locator("#sign")).to_have_attribute("data-state", "saved")
    expect(page.get_by_text("2 of 3 read")).to_be_visible()
    assert readings() == [(101, 4300), (102, 4400)]


def test_what_waits_of_scores_is_not_told_where_the_superintendent_reads_cards(make_page, contest, official):
    page = make_page()
    page.goto(address(contest, f"reasons/3/{official.pk}/"))
    page.route("**/scores/**/readings/", lambda route: route.abort())
    keys(page, "43\n")
    kind(page, "101", "waiting")
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(f"/contests/{contest.pk}/desk/classes/3/loose/")
    expect(page.locator("#sign")).to_contain_text("1 reading kept on this laptop")
    expect(page.locator("#last li")).to_have_count(0)
    page.unroute("**/scores/**/readings/")
    expect(page.locator("#sign")).to_have_attribute("data-state", "saved")
    expect(page.locator("#last li")).to_have_count(0)
    assert readings() == [(101, 4300)]


def test_an_answer_that_is_lost_does_not_count_a_score_twice(sit):
    page = sit()
    lost = []

    def lose(route):
        if lost:
            route.continue_()
        else:
            lost.append(route.fetch().status)
            route.abort()

    page.route("**/readings/", lose)
    keys(page, "43\n")
    all_sent(page)
    assert lost == [200]
    assert readings() == [(101, 4300)]


def test_who_was_shown_out_joins_again_under_the_same_name_and_nothing_is_lost(sit, contest):
    page = sit()
    show_out(Helper.objects.get(name="Ann", left_at=None), "superintendent")
    keys(page, "43\n44\n")
    expect(page.locator("#sign")).to_have_attribute("data-state", "out")
    assert readings() == []
    page.get_by_role("link", name="Join again").click()
    page.get_by_label("name").fill("Ann")
    page.get_by_label("code").fill(codes_of(contest)[Duty.REASONS])
    page.keyboard.press("Enter")
    expect(now(page)).to_have_text("103")  # where they had left off
    all_sent(page)
    assert readings() == [(101, 4300), (102, 4400)]


class TestKeys:
    def test_keys_typed_while_the_page_loads_are_not_lost(self, sit):
        page = sit()
        with still_loading(page, "desk-run.js"):
            expect(page.get_by_role("heading", level=1)).to_be_visible()
            keys(page, "43\n3")
            expect(now(page)).to_have_text("")
        expect(now(page)).to_have_text("102")
        keys(page, "8\n")
        all_sent(page)
        assert readings() == [(101, 4300), (102, 3800)]

    def test_two_digits_end_a_score_where_the_reader_wishes_and_a_star_begins_another(self, sit):
        page = sit()
        page.get_by_text("All keys, signs and settings").click()
        page.get_by_label("Two digits end a score").check()
        keys(page, "43")
        expect(now(page)).to_have_text("102")
        keys(page, "*14.5\n")
        expect(now(page)).to_have_text("103")
        keys(page, "07\n")
        all_sent(page)
        assert readings() == [(101, 4300), (102, 1450), (103, 700)]
        page.reload()
        expect(page.locator("#two-digits")).to_be_checked()

    def test_a_very_low_score_asks_and_what_is_typed_on_from_habit_does_not_answer(self, sit):
        page = sit()
        keys(page, "4.5\n")
        expect(message(page)).to_contain_text("4.5 is very low")
        keys(page, "43\n")
        expect(message(page)).to_have_text("Press Backspace, then type this score again.")
        page.keyboard.press("Backspace")
        keys(page, "4.5\n")
        page.keyboard.press("Backspace")
        keys(page, "\n")
        expect(message(page)).to_contain_text("A digit follows the point.")
        page.keyboard.press("Backspace")
        keys(page, "5\n")
        expect(now(page)).to_have_text("102")
        keys(page, "4.5\n\n")
        all_sent(page)
        assert readings() == [(101, 4500), (102, 450)]

    def test_a_score_out_of_order_costs_its_number_first(self, sit):
        page = sit()
        keys(page, "/103\n")
        expect(now(page)).to_have_text("103")
        keys(page, "41\n")
        expect(now(page)).to_have_text("101")
        all_sent(page)
        assert readings() == [(103, 4100)]

    def test_slips_in_the_order_of_speaking_each_begin_with_their_number(self, sit):
        page = sit()
        page.get_by_text("All keys, signs and settings").click()
        page.get_by_label("Each score begins with its number").check()
        keys(page, "102\n43\n101\n44\n103\n45.5\n")
        all_sent(page)
        assert readings() == [(102, 4300), (101, 4400), (103, 4550)]
        expect(page.locator("[data-part=read]")).to_have_text("3 of 3 read")
        expect(page.get_by_text("You have entered all that is left for you here.")).to_be_visible()
        expect(page.get_by_role("button", name="Back to all scores")).to_be_visible()
        keys(page, "+")
        expect(page.get_by_role("heading", name="Scores", exact=True)).to_be_visible()

    def test_more_than_the_most_is_refused_at_the_key_and_nothing_counts_until_it_is_noticed(self, sit):
        page = sit()
        for wrong, why in (("51", "51 is too much: 50 is the most"), ("50.5", "too much"), ("43.555", "two decimals")):
            keys(page, wrong)
            expect(message(page)).to_contain_text(why)
            expect(page.locator("#desk")).to_have_attribute("data-trouble", "now")
            keys(page, "\n44\n")  # from habit, and it must save neither what was left of it nor the next in its place
            expect(message(page)).to_have_text("Press Backspace, then type this score again.")
            page.keyboard.press("Backspace")
            expect(typed(page)).to_have_text("")
            expect(now(page)).to_have_text("101")
        keys(page, "50\n")
        all_sent(page)
        assert readings() == [(101, 5000)]

    def test_no_score_given_is_left_for_later_and_said_at_the_end(self, sit):
        page = sit()
        keys(page, "+43\n44\n")
        expect(page.locator("[data-part=label]")).to_have_text("Left over: contestant")
        expect(now(page)).to_have_text("101")
        all_sent(page)
        assert readings() == [(102, 4300), (103, 4400)]

    def test_the_last_reading_is_taken_back_and_asked_for_again(self, sit):
        page = sit()
        keys(page, "43\n")
        kind(page, "101", "saved")
        keys(page, "z")
        kind(page, "101", "taken-back")
        expect(now(page)).to_have_text("101")
        keys(page, "34\n")
        expect(now(page)).to_have_text("102")
        all_sent(page)
        assert readings() == [(101, 3400)]
        assert ReasonsReading.objects.exclude(withdrawn_at=None).count() == 1

    def test_a_settled_score_is_not_taken_back_and_the_reader_is_told(self, sit):
        ann, ben = sit("Ann"), sit("Ben")
        keys(ann, "43\n")
        kind(ann, "101", "saved")
        keys(ben, "43\n")
        kind(ben, "101", "settled")
        keys(ben, "z")
        kind(ben, "101", "stays")
        expect(row(ben, "101")).to_contain_text("that score is settled; tell the superintendent")
        assert scores() == [(101, 4300, "settled")]

    def test_a_refused_score_stays_in_sight_until_it_is_seen(self, sit):
        page = sit()
        keys(page, "/201\n")
        expect(message(page)).to_contain_text("gives no reasons on class 3")
        keys(page, "43\n")
        kind(page, "201", "refused")
        expect(row(page, "201")).to_contain_text("201 gives no reasons on class 3")
        page.reload()
        kind(page, "201", "refused")
        keys(page, "x")
        expect(row(page, "201")).to_have_count(0)
        assert readings() == []


class TestMarks:
    def test_of_contestants(self, sit):
        page = sit(sheet="marks/QUEST/")
        keys(page, "47.25\n50\n")
        all_sent(page)
        rows = MarkReading.objects.order_by("pk").values_list("contestant__number", "hundredths")
        assert list(rows) == [(101, 4725), (102, 5000)]

    def test_of_teams_by_name_in_two_browsers(self, sit):
        ann = sit("Ann", sheet="marks/TEAM/", now_is="Barley Hill")
        ben = sit("Ben", sheet="marks/TEAM/", now_is="Barley Hill")
        keys(ann, "88\n100\n77.5\n")
        keys(ben, "/3\n")
        expect(now(ben)).to_have_text("Little Elms")
        keys(ben, "77.5\n88\n99\n")
        for page in (ann, ben):
            all_sent(page)
        marks = dict(Mark.objects.values_list("team__name", "state"))
        assert marks == {"Barley Hill": "settled", "Copper Run": "doubt", "Little Elms": "settled"}

    def test_a_team_that_is_not_in_the_list_is_refused_at_once(self, sit):
        page = sit(sheet="marks/TEAM/", now_is="Barley Hill")
        keys(page, "/9\n")
        expect(message(page)).to_have_text("There is no team 9 in the list.")
        expect(now(page)).to_have_text("9")


def test_without_script_a_form_enters_scores(make_page, contest, official):
    page = make_page(who=(contest, Duty.REASONS, "Ann"), java_script_enabled=False)
    page.goto(address(contest, f"reasons/3/{official.pk}/"))
    page.get_by_label("Score, 0 to 50").fill("43.5")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Contestant")).to_have_value("102")
    expect(page.locator(".plain-last")).to_contain_text("101 43.5: saved")
    assert readings() == [(101, 4350)]


def test_an_official_is_added_and_removed(make_page, contest):
    page = make_page(who=(contest, Duty.REASONS, "Ann"))
    page.goto(address(contest))
    page.get_by_label("Add a reasons official").fill("Ms. Alder")
    page.keyboard.press("Enter")
    expect(page.get_by_role("link", name="Ms. Alder on class 3")).to_be_visible()
    page.get_by_role("button", name="Remove Ms. Alder").click()
    expect(page.get_by_text("No official yet.")).to_be_visible()


def test_every_page_fits_and_is_accessible(sit, make_page, contest, official):
    helper = sit("Ann")
    keys(helper, "43\n51")
    assert_sound_in_every_way(helper)
    keys(helper, "?")
    assert_sound_in_every_way(helper)
    all_sent(helper)
    helper.goto(address(contest, "marks/TEAM/"))
    expect(now(helper)).to_have_text("Barley Hill")
    assert_sound_in_every_way(helper)
    helper.goto(address(contest))
    expect(helper.get_by_text("1 of 3 read")).to_be_visible()
    assert_sound_in_every_way(helper)
    boss = make_page("superintendent")
    boss.goto(address(contest, "reasons/3/"))
    expect(boss.get_by_role("row", name=re.compile("^101 43"))).to_be_visible()
    assert_sound_in_every_way(boss)
