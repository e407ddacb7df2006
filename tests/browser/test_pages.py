"""Every page in a real browser, on a phone and on a projector: nothing spills, nothing fails, everybody can use it."""

import re

import pytest
from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.records import save_record
from scoring.core.record import Card, Category
from tests.browser.soundness import COLOURS, assert_sound, assert_sound_at_every_width, violations
from tests.factories import ClassFactory, DivisionFactory, RulesFactory, a_contest, people

LONG = "Grünwälder-Šťastná Łódź " + "Unbreakable" * 16


@pytest.fixture
def demo(transactional_db):
    return save_record(read_book(DEMO_BOOK), by="test")


@pytest.fixture
def stretched(transactional_db):
    """A contest in which every text is as long as it may be, or written from right to left, and every state occurs."""
    first, second, third = people(3, first_name=LONG, last_name=LONG, team=LONG)
    right_to_left = {"first_name": "محمد", "last_name": "الفارس", "team": "نادي الخيول"}
    return a_contest(
        rules=RulesFactory(name=LONG, place=LONG),
        divisions=(DivisionFactory(name=LONG), DivisionFactory(code="JR", name="مبتدئون")),
        categories=(Category("HAL", LONG),),
        classes=(
            ClassFactory(name=LONG, category="HAL", cuts=(10, 12, 0), reasons=("SR",)),
            ClassFactory(number=1234567, name="مهرة", official=None, cuts=None),
            ClassFactory(number=11, void=True, divisions=()),
            ClassFactory(number=12, places=False),
        ),
        contestants=(first, second, third, *people_after(third, **right_to_left)),
        cards=(Card(1, first.number, "4321", "1234"), Card(1, second.number, "unreadable")),
        individual_ties=("category:HAL",),
        team_ties=("category:HAL",),
    )


def people_after(person, **common):
    return [type(person)(number=123456789, division="SR", **common)]


def pages_of(contest):
    numbers = {judged.number for judged in contest.classes.all()} - set(range(2, 8)) - {9, 10}  # enough of the demo's
    start = f"/contests/{contest.pk}/"
    yield "/"
    yield start
    yield from (f"{start}classes/{number}/" for number in sorted(numbers))
    yield f"{start}standings/"
    yield from (f"{start}standings/SR/{code}/" for code in ("placing", "reasons", contest.categories.first().code))


def console_errors(page):
    """What a page complains of from now on, but for a question that it asks again since the answer took too long."""
    errors = []

    def heard(message):
        too_late = message.text.startswith(("htmx:afterRequest", "htmx:timeout"))
        if message.type in ("error", "warning") and not too_late:
            errors.append(message.text)

    page.on("console", heard)
    return errors


def test_the_check_would_notice_a_page_that_is_not_sound(page):
    page.set_content("<html><body style='min-width: 5000px'><a href='/'></a></body></html>")
    assert page.evaluate("document.documentElement.scrollWidth") > page.viewport_size["width"]
    assert "link-name" in {name for name, _where in violations(page)}
    page.set_content("<html lang='en'><body style='background: #777'><p style='color: #888'>Grey</p></body></html>")
    assert "color-contrast" in {name for name, _where in violations(page, COLOURS)}
    sound = "<html lang='en'><title>A page</title><main><h1>A page</h1><p>Text</p></main>"
    page.set_content(sound)
    assert_sound_at_every_width(page)
    for otherwise_on_a_phone in ("display: none", "color: #000"):
        style = f"p {{ color: #ddd }} @media (width < 500px) {{ p {{ {otherwise_on_a_phone} }} }}"
        page.set_content(f"{sound}<style>{style}</style>")
        with pytest.raises(AssertionError, match="1280"):
            assert_sound_at_every_width(page)


@pytest.mark.parametrize("cast", ["demo", "stretched"])
def test_every_page_fits_and_is_accessible(request, make_page, cast):
    contest = request.getfixturevalue(cast)
    page = make_page()
    errors = console_errors(page)
    for address in pages_of(contest):
        assert page.goto(address).status == 200
        assert_sound_at_every_width(page)
    assert errors == []


def test_every_kind_of_page_can_be_read_in_the_dark(make_page, demo):
    page = make_page(color_scheme="dark")
    for address in ("/", f"/contests/{demo.pk}/", f"/contests/{demo.pk}/classes/8/", f"/contests/{demo.pk}/standings/"):
        page.goto(address)
        assert_sound(page, address)


def test_a_page_that_is_not_there_says_so_and_leads_back(make_page, size):
    page = make_page(**size)
    assert page.goto("/contests/1/").status == 404
    assert_sound(page, "404")
    page.get_by_role("link", name="All contests").click()
    expect(page.get_by_role("heading", name="No contest yet")).to_be_visible()
    assert_sound(page, "no contest")


def test_from_the_contests_to_the_standings(make_page, demo):
    page = make_page()
    page.goto("/")
    page.get_by_role("link", name="Marrowby Spring Sheep Judging Day").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Marrowby Spring Sheep Judging Day")
    page.get_by_role("link", name="Yearling rams, meat breeds").click()
    expect(page.get_by_role("row", name=re.compile("^3142 50")).get_by_text("official placing")).to_be_visible()
    page.get_by_role("navigation").get_by_text("After").click()
    page.get_by_role("navigation").get_by_role("link", name="Standings").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Junior, Overall")
    page.get_by_role("link", name="Senior", exact=True).click()
    expect(page).to_have_title(re.compile("^Senior, Overall"))
    page.get_by_role("navigation", name="Standings").get_by_role("link", name="Reasons", exact=True).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Senior, Reasons")


def test_the_keyboard_alone_reaches_and_opens_a_list(make_page, demo, size):
    page = make_page(**size)
    page.goto(f"/contests/{demo.pk}/standings/")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the content")).to_be_focused()
    expect(page.get_by_role("link", name="Skip to the content")).to_be_in_viewport()
    wanted = page.get_by_role("navigation", name="Standings").get_by_role("link", name="Market lambs")
    for _ in range(40):
        page.keyboard.press("Tab")
        if wanted.evaluate("link => link === document.activeElement"):
            break
    expect(wanted).to_be_focused()
    assert wanted.evaluate("link => getComputedStyle(link).outlineStyle") == "solid"
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Junior, Market lambs")


@pytest.mark.parametrize("script", [True, False])
def test_the_way_around_takes_a_line_and_on_a_phone_two_and_opens_to_every_page(make_page, demo, size, script):
    page = make_page(java_script_enabled=script, **size)
    page.goto(f"/contests/{demo.pk}/standings/")
    around = page.get_by_role("navigation", name="This contest")
    assert around.bounding_box()["height"] < (50 if size["width"] > 1000 else 80)
    expect(around.get_by_role("link", name="Doubts")).to_be_visible()
    for part, label in (("Before", "Set-up"), ("Judging", "Keys"), ("After", "Prints")):
        link = around.get_by_role("link", name=label)
        if not link.is_visible():
            around.locator("summary", has_text=part).click()
        expect(link).to_be_visible()
        if script:
            assert_sound(page, part)
    around.get_by_role("link", name="Prints").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Prints")


def test_the_skip_link_leads_past_the_navigation(make_page, demo):
    page = make_page()
    page.goto(f"/contests/{demo.pk}/standings/")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_the_shipped_type_is_what_is_seen(make_page, demo):
    page = make_page()
    page.goto(f"/contests/{demo.pk}/standings/")
    assert page.evaluate("document.fonts.ready.then(() => document.fonts.check('16px \"Source Serif 4\"'))")
    loaded = "[...document.fonts].filter(face => face.status === 'loaded').length"
    assert page.evaluate(loaded) >= 1


def test_printed_standings_leave_the_navigation_out_and_name_the_list_on_every_sheet(make_page, demo):
    page = make_page()
    page.goto(f"/contests/{demo.pk}/standings/SR/overall/")
    page.emulate_media(media="print")
    expect(page.get_by_role("navigation", name="Standings")).to_be_hidden()
    running = page.locator("table.individuals thead .running")
    expect(running).to_be_visible()
    expect(running).to_contain_text("Marrowby Spring Sheep Judging Day: Senior, Overall, individuals. Revision 1")
    head = page.locator("table.individuals thead")
    assert head.evaluate("head => getComputedStyle(head).display") == "table-header-group"
    row = page.locator("table.teams tbody tr").first
    assert row.evaluate("row => [getComputedStyle(row).display, getComputedStyle(row).breakInside]") == [
        "table-row",
        "avoid",
    ]
