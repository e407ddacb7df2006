"""Two sets of results in a real browser: made, filled, looked at in the standings, and given ribbons of their own."""

from playwright.sync_api import expect

from scoring.core.record import Card
from tests.browser.soundness import assert_sound_at_every_width
from tests.factories import RulesFactory, a_contest, people

PLACINGS = {101: "3124", 102: "3142", 103: "1324", 104: "4213"}


def test_a_qualifier_within_an_open_contest(make_page, transactional_db):
    cards = tuple(Card(1, number, placing) for number, placing in PLACINGS.items())
    contest = a_contest(rules=RulesFactory(readings_per_card=1), contestants=people(4), cards=cards)
    page = make_page()
    for name, code in (("Open", "OPEN"), ("Qualifier", "QUAL")):
        page.goto(f"/contests/{contest.pk}/setup/sets/new/")
        page.get_by_label("Name").fill(name)
        page.get_by_label("Code").fill(code)
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_role("heading", name="Sets of results")).to_be_visible()
    assert_sound_at_every_width(page, "set-up with sets")

    page.get_by_role("link", name="Who is in which set").click()
    qualifier = page.get_by_role("region", name="Qualifier")
    qualifier.get_by_label("Numbers").fill("102-103")
    qualifier.get_by_role("button", name="Put in").click()
    expect(page.get_by_text("2 are put into Qualifier.")).to_be_visible()
    assert_sound_at_every_width(page, "who is in which set")

    page.goto(f"/contests/{contest.pk}/entries/")
    page.get_by_label("Set of results").select_option("Qualifier")
    page.get_by_role("button", name="Show", exact=True).click()
    expect(page.locator("#people tbody tr")).to_have_count(2)
    assert_sound_at_every_width(page, "entries with sets")
    page.get_by_role("link", name="102").click()
    section = page.get_by_role("region", name="Sets of results")
    expect(section.get_by_label("Qualifier", exact=True)).to_be_checked()
    section.get_by_label("Team in Qualifier, if another").fill("Ash Valley")
    section.get_by_role("button", name="Save").click()
    expect(page.get_by_text("102: saved the sets of results.")).to_be_visible()
    assert_sound_at_every_width(page, "an entry with sets")

    page.goto(f"/contests/{contest.pk}/prints/awards/?set=QUAL")
    page.get_by_label("Name of place 1", exact=True).fill("Best qualifier")
    with page.expect_navigation():
        page.get_by_role("button", name="Save", exact=True).first.click()
    expect(page.get_by_label("Name of place 1", exact=True)).to_have_value("Best qualifier")
    assert_sound_at_every_width(page, "ribbons of a set")

    page.goto(f"/contests/{contest.pk}/standings/")
    page.get_by_role("link", name="Qualifier, Senior").click()
    expect(page.get_by_role("row", name="1 102 ")).to_contain_text("Ash Valley")
    expect(page.get_by_role("row", name="2 103 ")).to_contain_text("Barley Hill")
    expect(page.get_by_text("101", exact=True)).to_have_count(0)
    assert_sound_at_every_width(page, "standings of a set")
