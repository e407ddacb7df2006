"""Setting a contest up in a real browser: by keyboard, by dragging, on a phone, and without script."""

import io
import re
import zipfile

import pytest
from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Contest
from contest.records import load_record, save_record
from contest.setup.contests import change_facts
from tests.browser.soundness import assert_sound, assert_sound_at_every_width, assert_sound_in_every_way
from tests.browser.test_pages import LONG, console_errors
from tests.contest.setup.cast import in_use, steps
from tests.factories import RulesFactory, a_contest


@pytest.fixture
def demo(transactional_db):
    return save_record(read_book(DEMO_BOOK), by="test")


@pytest.fixture
def contest(transactional_db):
    return in_use()


def pages_of(contest):
    yield "/contests/new/"
    yield (at := f"/contests/{contest.pk}/setup/")
    yield from (f"{at}{page}/" for page in ("facts", "rules"))
    for kind in ("divisions", "categories", "classes", "parts"):
        yield f"{at}{kind}/new/"
        if row := getattr(contest, kind).first():
            yield f"{at}{kind}/{row.pk}/"
            yield f"{at}{kind}/{row.pk}/remove/"
    yield f"{at}classes/list/"
    yield f"{at}classes/{contest.classes.first().pk}/void/"


def named(page, listing):
    """The names in a list that can be put in order, as they stand on the page."""
    return page.locator(f"section[aria-labelledby='{listing}'] .listing .named bdi")


def test_every_page_fits_and_is_accessible(make_page, demo):
    page = make_page()
    errors = console_errors(page)
    for address in pages_of(demo):
        assert page.goto(address).status == 200
        assert_sound_in_every_way(page, address)
    assert errors == []


def test_the_longest_names_fit(make_page, transactional_db):
    contest = a_contest(rules=RulesFactory(name=LONG, place=LONG))
    contest.classes.update(name=LONG)
    contest.divisions.update(name=LONG, code="A" * 20)
    contest.categories.update(name=LONG)
    page = make_page()
    for address in pages_of(contest):
        page.goto(address)
        assert_sound_at_every_width(page, address)


def test_what_is_wrong_is_said_where_it_is_wrong(make_page, contest, size):
    page = make_page(**size)
    page.goto(f"/contests/{contest.pk}/setup/divisions/new/")
    page.get_by_label("Name").fill("Intermediate")
    page.get_by_label("Code").fill("S R")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("Not saved.")
    expect(page.get_by_label("Code")).to_be_focused()
    expect(page.get_by_label("Code")).to_have_value("S R")
    expect(page.get_by_label("Code")).to_have_accessible_description(re.compile("is not a code"))
    assert_sound(page, "wrong code")


def test_two_who_change_the_same_see_both(make_page, contest, size):
    page = make_page(**size)
    page.goto(f"/contests/{contest.pk}/setup/facts/")
    change_facts(contest, "Bob", place="Upper Meadow")
    page.get_by_label("Place").fill("Lower Meadow")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("row", name="Place Upper Meadow Lower Meadow")).to_be_visible()
    assert_sound(page, "conflict")
    page.get_by_role("button", name="Save").click()
    expect(page).to_have_url(re.compile("/setup/#facts$"))
    expect(page.get_by_text("Lower Meadow").first).to_be_visible()


def test_from_nothing_to_a_class_by_keyboard_alone(make_page, transactional_db):
    page = make_page()
    page.goto("/")
    press_link(page, "New contest")
    page.get_by_label("Name", exact=True).focus()
    page.keyboard.type("Alder Fair")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Alder Fair")
    press_link(page, "Add a division")
    expect(page.get_by_label("Name")).to_be_focused()
    page.keyboard.type("Junior")
    page.keyboard.press("Tab")
    page.keyboard.type("JR")
    page.get_by_role("button", name="Save, and add another").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_label("Name")).to_have_value("")
    expect(page.get_by_label("Name")).to_be_focused()
    page.keyboard.type("Senior")
    page.keyboard.press("Tab")
    page.keyboard.type("SR")
    page.keyboard.press("Enter")
    expect(page.get_by_role("link", name="Change division SR, Senior")).to_be_focused()
    press_link(page, "Add a class")
    expect(page.get_by_label("Number")).to_have_value("1")
    page.get_by_label("Name").focus()
    page.keyboard.type("Aged geldings")
    page.get_by_label("Senior gives oral reasons").focus()
    page.keyboard.press("Space")
    page.keyboard.press("Enter")
    expect(page.get_by_text("no category; judged by all divisions; oral reasons: Senior")).to_be_visible()
    record = load_record(Contest.objects.get().pk)[1]
    assert [(judged.number, judged.reasons) for judged in record.classes] == [(1, ("SR",))]


def press_link(page, name):
    page.get_by_role("link", name=name, exact=True).focus()
    page.keyboard.press("Enter")


def test_a_tie_step_goes_up_and_down_by_keyboard_and_keeps_the_focus(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/setup/")
    individual = page.locator("section[aria-labelledby='ties-individual']")
    up = individual.get_by_role("button", name=re.compile("^Move up: .*total in Performance"))
    up.focus()
    page.keyboard.press("Enter")
    expect(individual.locator(".named").nth(1)).to_contain_text("total in Performance")
    expect(up).to_be_focused()
    page.keyboard.press("Enter")
    expect(individual.locator(".named").nth(0)).to_contain_text("total in Performance")
    expect(individual.get_by_role("button", name=re.compile("^Move down: .*total in Performance"))).to_be_focused()
    assert steps(contest) == ["category:PER", "reasons", "class:2"]


def test_a_tie_step_is_added_and_taken_out(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/setup/")
    teams = page.locator("section[aria-labelledby='ties-team']")
    teams.get_by_label("Then look at").select_option("best member who does not count")
    teams.get_by_role("button", name="Add this step").click()
    expect(teams.locator(".named")).to_have_count(2)
    teams.get_by_role("button", name="Take out: Team task").click()
    expect(teams.locator(".named")).to_have_text(["best member who does not count"])
    assert steps(contest, "team") == ["left-out"]


def drag(page, listing, from_name, to_name):
    rows = page.locator(f"section[aria-labelledby='{listing}'] li")
    handle = rows.filter(has_text=from_name).locator(".grip")
    handle.scroll_into_view_if_needed()
    start = handle.bounding_box()
    end = rows.filter(has_text=to_name).bounding_box()
    x = start["x"] + start["width"] / 2
    page.mouse.move(x, start["y"] + start["height"] / 2)
    page.mouse.down()
    page.mouse.move(x, end["y"] + end["height"] / 2, steps=8)
    page.mouse.move(x, end["y"] + 2, steps=4)


def test_a_row_is_dragged_to_another_place(make_page, demo):
    page = make_page()
    page.goto(f"/contests/{demo.pk}/setup/")
    drag(page, "divisions", "Senior", "Junior")
    with page.expect_navigation():
        page.mouse.up()
    expect(named(page, "divisions")).to_have_text(["Senior", "Junior", "Intermediate"])
    assert list(demo.divisions.values_list("code", flat=True)) == ["SR", "JR", "IN"]


def test_a_row_put_back_where_it_was_sends_nothing(make_page, demo):
    page = make_page()
    page.goto(f"/contests/{demo.pk}/setup/")
    sent = []
    page.on("request", lambda request: sent.append(request.method))
    drag(page, "divisions", "Senior", "Junior")
    expect(page.locator("section[aria-labelledby='divisions'] li").first).to_contain_text("Senior")
    box = page.locator("section[aria-labelledby='divisions'] li").last.bounding_box()
    page.mouse.move(box["x"] + 5, box["y"] + box["height"] + 5, steps=8)
    page.mouse.up()
    expect(named(page, "divisions")).to_have_text(["Junior", "Intermediate", "Senior"])
    assert "POST" not in sent


def test_without_script_everything_can_still_be_done(make_page, contest):
    page = make_page(java_script_enabled=False)
    page.goto(f"/contests/{contest.pk}/setup/")
    expect(page.locator(".grip")).to_have_count(0)
    page.get_by_role("button", name="Move up: JR Junior").click()
    expect(named(page, "divisions")).to_have_text(["Junior", "Senior"])
    page.get_by_role("link", name="Change division SR, Senior").click()
    expect(page.get_by_role("heading", name="Example: 3 of 4 count")).to_be_visible()


def test_the_example_follows_the_number_that_is_typed(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/setup/divisions/new/")
    expect(page.get_by_role("heading", name="Example: 3 of 4 count")).to_be_visible()
    page.get_by_label("Members of a team who count").fill("1")
    expect(page.get_by_role("heading", name="Example: 1 of 2 counts")).to_be_visible()
    page.get_by_label("Members of a team who count").fill("0")
    expect(page.get_by_role("heading", name="Example: every member counts")).to_be_visible()
    assert_sound(page, "every member counts")


def test_what_is_in_use_says_so_and_leads_to_making_it_void(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/setup/")
    page.get_by_role("link", name="Remove class 1, Aged geldings").click()
    expect(page.get_by_text("3 cards of it were read.")).to_be_visible()
    page.get_by_role("link", name="Make the class void").click()
    page.get_by_label("Why").fill("an animal went lame")
    page.get_by_role("button", name="Throw it out").click()
    expect(page.locator("section[aria-labelledby='classes'] li").first.get_by_text("void", exact=True)).to_be_visible()


def test_a_book_with_problems_lists_them_all(make_page, transactional_db, tmp_path, size):
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        for path in DEMO_BOOK.iterdir():
            archive.writestr(path.name, path.read_bytes().replace(b"3142", b"3145"))
    page = make_page(**size)
    page.goto("/contests/new/")
    page.get_by_label("Contest book, a .zip").set_input_files(
        {"name": "fair.zip", "mimeType": "application/zip", "buffer": data.getvalue()}
    )
    page.get_by_role("button", name="Bring the book in").click()
    expect(page.get_by_text(re.compile(r"\d+ problems in the book"))).to_be_visible()
    with page.expect_download() as saving:
        page.get_by_role("link", name="Save the whole list").click()
    page.wait_for_load_state()
    assert 1 < page.locator(".problems tbody tr").count() < 20
    assert len(saving.value.path().read_text().splitlines()) > 10
    assert_sound(page, "problems")


@pytest.mark.parametrize("page_of", ["/contests/new/", "/contests/{}/entries/load/"])
def test_a_file_that_is_too_large_is_refused_before_it_is_sent(make_page, demo, tmp_path, page_of):
    page = make_page()
    page.goto(page_of.format(demo.pk))
    small, large = tmp_path / "small.csv", tmp_path / "large.csv"
    small.write_bytes(b"number")
    with large.open("wb") as file:
        file.truncate(17 * 1024 * 1024)
    chooser = page.locator("[type=file]")
    chooser.set_input_files(large)
    expect(page.get_by_role("alert")).to_contain_text("The file has 17 MB")
    page.on("request", lambda request: pytest.fail("it was sent") if request.method == "POST" else None)
    page.locator("form", has=chooser).get_by_role("button").last.click()
    expect(chooser).to_be_focused()
    chooser.set_input_files(small)
    expect(page.get_by_role("alert")).to_have_count(0)


def test_a_contest_is_deleted_once_its_name_is_typed(make_page, demo):
    page = make_page(width=360, height=740)
    page.goto(f"/contests/{demo.pk}/setup/")
    page.get_by_role("link", name="Delete the contest").click()
    expect(page.get_by_role("link", name="Its book")).to_be_visible()
    name = page.get_by_label("Type the name of the contest")
    name.fill("something else")
    page.keyboard.press("Enter")
    expect(name).to_have_value("something else")
    expect(page.get_by_text("That is not its name")).to_be_visible()
    name.fill(demo.name)
    page.keyboard.press("Enter")
    expect(page.get_by_text("No contest yet")).to_be_visible()
    assert not Contest.objects.exists()


def test_the_book_is_taken_away(make_page, demo, tmp_path):
    page = make_page()
    page.goto(f"/contests/{demo.pk}/setup/")
    with page.expect_download() as download:
        page.get_by_role("link", name="Take it away as a contest book").click()
    assert download.value.suggested_filename == "marrowby-spring-sheep-judging-day.zip"
    download.value.save_as(tmp_path / "book.zip")
    assert read_book(tmp_path / "book.zip") == read_book(DEMO_BOOK)
