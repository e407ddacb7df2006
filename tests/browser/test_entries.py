"""Entries in a real browser: the list, loading one, numbers, groups, and check-in on a phone."""

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.entries.people import make_ineligible, scratch
from contest.models import Contest, Contestant
from contest.records import save_record
from tests.browser.soundness import assert_sound, assert_sound_in_every_way
from tests.browser.walks import walk
from tests.contest.entries.cast import contestant, read, two_divisions

LONG = "Grünwälder-Šťastná Łódź " + "Unbreakable" * 16
LIST = "\n".join(
    [
        "No\tName\tClub\tDivision\tNotes",
        "101\tFamily101x, Given101x\tDunmore\tSenior\t",
        "201\tNgozi Adelumo\tDunmore\tSeniors\tvegetarian",
        "202\tBo Ray\t\tNovice\t",
        f"203\t{LONG[:180]}\t{LONG[:180]}\tJunior\t",
        "104\t\tCobblewick\tJunior\t",
    ]
)


@pytest.fixture
def contest(transactional_db):
    made = two_divisions()
    scratch(contestant(made, 102), "super")
    make_ineligible(contestant(made, 103), "too old", "super")
    made.contestants.filter(number=101).update(checked_in_at=timezone.now(), group="A", show_name=False)
    made.contestants.filter(number=105).update(first_name=LONG, last_name=LONG, group="B")
    return made


def base(contest):
    return f"/contests/{contest.pk}/entries/"


def test_every_page_fits_and_everybody_can_use_it(make_page, contest):
    page = make_page()
    errors = []
    page.on("console", lambda message: message.type in ("error", "warning") and errors.append(message.text))
    person = contestant(contest, 105)
    for where in ("", "?state=scratched", "add/", f"{person.pk}/", "load/", "numbers/", "groups/"):
        page.goto(base(contest) + where)
        assert_sound_in_every_way(page)
    for where in (
        "check-in/",
        "check-in/?number=105",
        "check-in/?number=101",
        "check-in/?number=999",
        "check-in/missing/",
    ):
        page.goto(base(contest) + where)
        assert_sound_in_every_way(page)
    assert not errors


def test_what_is_shown_before_it_is_done_fits_too(make_page, contest, size):
    page = make_page(**size)
    page.goto(base(contest) + "load/")
    page.get_by_label("Paste the rows here").fill(LIST)
    page.get_by_role("button", name="See what it would do").click()
    expect(page.get_by_role("heading", name="Refused")).to_be_visible()
    assert_sound(page)
    page.goto(base(contest) + "numbers/")
    page.get_by_label("Drawn at random").check()
    page.get_by_role("button", name="See the numbers").click()
    expect(page.get_by_role("button", name="Give these numbers")).to_be_visible()
    assert_sound(page)
    page.goto(base(contest) + "groups/")
    page.get_by_role("button", name="See the groups").click()
    expect(page.get_by_role("button", name="Deal them like this")).to_be_visible()
    assert_sound(page)


def test_a_list_is_pasted_corrected_and_confirmed(page, contest):
    page.goto(base(contest))
    page.get_by_role("link", name="Load a list").click()
    page.get_by_label("Paste the rows here").fill(LIST)
    page.get_by_role("button", name="See what it would do").click()
    expect(page.get_by_text("no division is called 'Novice'")).to_be_visible()
    page.get_by_label("Novice").select_option("Junior")
    page.get_by_role("button", name="Look again").last.click()
    expect(page.get_by_text("no division is called")).to_have_count(0)
    assert contest.contestants.count() == 5
    page.get_by_role("button", name="Add 3 and change 1").click()
    expect(page.get_by_role("status").first).to_contain_text("3 added and 1 changed")
    assert contestant(contest, 202).division.code == "JR"
    assert "Adelumo" not in page.url


def test_a_choice_changed_after_looking_is_looked_at_before_it_is_done(page, contest):
    page.goto(base(contest) + "load/")
    page.get_by_label("Paste the rows here").fill(LIST)
    page.get_by_role("button", name="See what it would do").click()
    page.get_by_label("Novice").select_option("Junior")
    page.get_by_role("button", name="Add 2 and change 1").click()
    expect(page.get_by_role("alert")).to_contain_text("Look again, then confirm")
    assert contest.contestants.count() == 5
    page.get_by_role("button", name="Add 3 and change 1").click()
    expect(page.get_by_role("status").first).to_contain_text("3 added")


def test_names_are_found_as_they_are_typed_and_never_sent(page, contest):
    asked = []
    page.goto(base(contest))
    page.on("request", lambda request: asked.append(request.url))
    field = page.get_by_label("Find")
    field.press_sequentially("grunwalder stast")
    expect(page.locator("#people tbody tr:visible")).to_have_count(1)
    expect(page.locator("#shown")).to_have_text("1 of 5 entries")
    assert not [address for address in asked if base(contest) in address]
    field.fill("103")
    expect(page.locator("#people tbody tr:visible")).to_have_count(1)
    field.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("103")


def test_a_walk_up_is_entered_by_keyboard_alone(page, contest):
    page.goto(base(contest) + "add/")
    number = page.get_by_label("Number", exact=True)
    expect(number).to_have_value("106")
    number.focus()
    page.keyboard.press("Tab")
    page.keyboard.type("Ngozi")
    page.keyboard.press("Tab")
    page.keyboard.type("Adelumo")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_contain_text("106 is entered")
    assert contestant(contest, 106).first_name == "Ngozi"


def test_a_contestant_is_moved_to_another_division_late_and_what_was_typed_under_correct_stays(page, contest):
    for number in (1, 3):  # seniors do not judge class 3
        read(contest, number, 104)
    person = contestant(contest, 104)
    page.goto(f"{base(contest)}{person.pk}/")
    page.get_by_label("First name", exact=True).first.fill("Wilhelmina")
    with walk("move a contestant to another division late", actions=4) as mover:
        mover.choose(page.get_by_label("Division"), "Senior")
        mover.fill(page.get_by_label("Why it is set aside"), "is sixteen by now")
        mover.click(page.get_by_role("button", name="Move", exact=True))
    expect(page.get_by_role("status").first).to_contain_text("104 is moved. 1 reading is set aside.")
    assert contestant(contest, 104).division.code == "SR"
    expect(page.get_by_label("First name", exact=True).first).to_have_value("Wilhelmina")
    expect(page.get_by_text("what you typed here is back")).to_be_visible()
    aside = page.get_by_role("region", name="Set aside")
    expect(aside).to_contain_text("is sixteen by now")
    expect(aside).to_contain_text("does not belong in Senior")
    assert_sound(page)
    page.get_by_role("region", name="Correct").get_by_role("button", name="Save").click()
    expect(page.get_by_role("status").first).to_contain_text("104 is corrected")
    expect(page.get_by_text("what you typed here is back")).to_have_count(0)
    assert contestant(contest, 104).first_name == "Wilhelmina"
    with walk("move back, and bring back what was set aside", actions=3) as mover:
        mover.choose(page.get_by_label("Division"), "Junior")
        mover.click(page.get_by_role("button", name="Move", exact=True))
        mover.click(page.get_by_role("button", name="Bring back what is ticked"))
    expect(page.get_by_role("region", name="Set aside")).to_have_count(0)


def test_teams_are_asked_about_held_against_the_rules_and_merged(page, contest):
    page.goto(base(contest) + "add/")
    page.get_by_label("Team").fill("Dunmore")
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_label("Why there is no name")).to_be_visible()
    expect(page.get_by_label("Division")).to_have_value(str(contest.divisions.first().pk))
    expect(page.get_by_text("what you typed here is back")).to_have_count(0)  # it never went
    page.goto(base(contest) + "add/")
    expect(page.get_by_label("Team")).to_have_value("Dunmore")
    page.get_by_role("button", name="Throw it away").click()
    expect(page.get_by_label("Team")).to_have_value("")
    with walk("enter a walk-up whose team was mistyped", actions=5) as person:
        person.fill(page.get_by_label("First name"), "Ngozi")
        person.fill(page.get_by_label("Last name"), "Adelumo")
        person.fill(page.get_by_label("Team"), "Barly Hill")
        person.click(page.get_by_role("button", name="Add", exact=True))
        new_team = page.get_by_role("button", name="No, Barly Hill is a new team")
        expect(new_team).to_be_visible()
        assert_sound(page)
        person.click(new_team)
    expect(page.get_by_role("status").first).to_contain_text("106 is entered. Barly Hill is a new team.")
    page.goto(base(contest) + "teams/")
    with walk("say how many members a team has", actions=3) as person:
        person.fill(page.get_by_label("Least members").first, "2")
        person.fill(page.get_by_label("Most members").first, "3")
        person.click(page.get_by_role("button", name="Save the sizes of Senior"))
    expect(page.get_by_text("too few: 2 are the least")).to_be_visible()
    assert_sound(page)
    with walk("merge two teams that are one", actions=2) as person:
        person.click(page.get_by_role("link", name="much like Barley Hill: one team?"))
        expect(page.get_by_role("button", name="Merge")).to_be_visible()
        assert_sound(page)
        person.click(page.get_by_role("button", name="Merge"))
    expect(page.get_by_text("Barly Hill")).to_have_count(1)  # in what was done
    assert contestant(contest, 106).team.name == "Barley Hill"
    page.get_by_role("link", name="Barley Hill").click()
    with walk("call a team something else", actions=2) as person:
        person.fill(page.get_by_label("Name", exact=True), "Barley Hill 4-H")
        person.click(page.get_by_role("button", name="Rename"))
    expect(page.get_by_role("link", name="Barley Hill 4-H")).to_be_visible()
    page.goto(base(contest) + "load/")
    page.get_by_label("Paste the rows here").fill("No\tName\tTeam\tDivision\n301\tAda Ray\tBarly Hill 4H\tSenior")
    page.get_by_role("button", name="See what it would do").click()
    page.get_by_label("Barly Hill 4H").select_option("Barley Hill 4-H")
    assert_sound(page)
    with page.expect_navigation():
        page.get_by_role("button", name="Look again").last.click()
    page.get_by_role("button", name="Add 1").click()
    expect(page.get_by_role("status").first).to_contain_text("1 added")
    assert contestant(contest, 301).team.name == "Barley Hill 4-H"


def test_two_who_change_one_entry_are_told_of_each_other(make_page, contest):
    person = contestant(contest, 101)
    first, second = make_page(), make_page()
    for page in (first, second):
        page.goto(f"{base(contest)}{person.pk}/")
    first.get_by_label("Group", exact=True).fill("B")
    first.get_by_role("region", name="Correct").get_by_role("button", name="Save").click()
    expect(first.get_by_role("status")).to_contain_text("101 is corrected")
    second.get_by_label("Group", exact=True).fill("C")
    second.get_by_role("region", name="Correct").get_by_role("button", name="Save").click()
    expect(second.get_by_role("alert")).to_contain_text("somebody else has changed this entry")
    expect(second.get_by_label("Group", exact=True)).to_have_value("C")
    assert_sound(second)
    second.get_by_role("region", name="Correct").get_by_role("button", name="Save").click()
    expect(second.get_by_role("status")).to_contain_text("101 is corrected")
    assert contestant(contest, 101).group == "C"


def test_a_list_of_fifteen_hundred_is_usable(page, contest):
    junior = contest.divisions.get(code="JR")
    Contestant.objects.bulk_create(
        Contestant(contest=contest, number=1000 + n, division=junior, first_name=f"First{n}", last_name=f"Last{n}")
        for n in range(1500)
    )
    page.goto(base(contest))
    expect(page.locator("#people tbody tr")).to_have_count(100)
    expect(page.get_by_text("of 1,505").first).to_be_visible()
    page.get_by_role("searchbox", name="Find").fill("last1234")
    page.keyboard.press("Enter")
    expect(page.locator("#people tbody tr:visible")).to_have_count(1)


def test_the_demo_is_dealt_into_groups_and_its_rotation_prints(page, transactional_db):
    contest = save_record(read_book(DEMO_BOOK), by="test")
    Contest.objects.filter(pk=contest.pk).update(starts_at="09:00")
    page.goto(base(contest) + "groups/")
    page.get_by_label("How many groups").fill("6")
    page.get_by_role("button", name="See the groups").click()
    expect(page.get_by_text("No team-mates share a group.")).to_be_visible()
    page.get_by_role("button", name="Deal them like this").click()
    expect(page.locator(".turns tbody tr").first).to_contain_text("09:00–09:12")
    page.emulate_media(media="print")
    expect(page.get_by_role("heading", name="Around the animals")).to_be_visible()
    expect(page.get_by_role("button", name="See the groups")).to_be_hidden()
