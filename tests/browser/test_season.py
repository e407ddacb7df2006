"""A club's season in a browser: members, a book put in, who is who, a member's page, and everything deleted."""

from playwright.sync_api import expect

from tests.browser.soundness import assert_sound_at_every_width
from tests.scoring.test_season import book


def test_a_season_from_nothing_to_a_members_page_and_deleted(make_page):
    page = make_page()
    page.goto("/")
    page.get_by_role("link", name="seasons").click()
    page.get_by_label("Club and season").fill("Harrow Creek, fall")
    page.get_by_role("button", name="Make the season").click()
    page.get_by_role("link", name="Add members").click()
    for number, name in (("3", "Ana Lind"), ("4", "Maximiliana Featherstonehaugh-Wolfeschlegelstein")):
        page.get_by_label("Number in the club").fill(number)
        page.get_by_label("Name", exact=True).fill(name)
        page.get_by_role("checkbox").check()
        page.get_by_role("button", name="Save").click()
        expect(page.get_by_role("listitem").filter(has_text=name)).to_be_visible()
    assert_sound_at_every_width(page)
    page.get_by_role("link", name="Harrow Creek, fall").click()
    page.get_by_role("link", name="Put in a contest book").click()
    file = {"name": "book.zip", "mimeType": "application/zip", "buffer": book()}
    page.get_by_label("Contest book, a .zip").set_input_files(file)
    page.get_by_role("button", name="Read it").click()
    expect(page.get_by_label("3 Ana Lind")).to_have_value("11")
    expect(page.get_by_label("4 Maximiliana")).to_have_value("")
    assert_sound_at_every_width(page)
    page.get_by_role("button", name="These are they: save").click()
    expect(page.get_by_text("1 contest or practice")).to_be_visible()
    assert_sound_at_every_width(page)
    page.get_by_role("link", name="3 Ana Lind").click()
    expect(page.get_by_role("row", name="Top pair")).to_be_visible()
    assert_sound_at_every_width(page)
    page.get_by_role("link", name="delete everything about the member").click()
    page.get_by_role("button", name="Delete, for good").click()
    expect(page.get_by_role("heading", name="Members")).to_be_visible()
    expect(page.get_by_text("Ana Lind")).to_have_count(0)
