"""A day of several contests in a browser: made, looked at, released, and read by everybody on a phone."""

from playwright.sync_api import expect

from tests.browser.soundness import assert_sound_at_every_width
from tests.factories import RulesFactory
from tests.scoring.results.cast import ready, release


def test_a_day_is_made_and_its_sweepstakes_are_released(make_page):
    for contest in (ready(), ready(rules=RulesFactory(name="Dairy Day", show_people_as="name"))):
        release(contest)
    page = make_page()
    page.goto("/")
    page.get_by_role("link", name="days of several contests").click()
    page.get_by_role("link", name="New day").click()
    page.get_by_label("Name").fill("County Day")
    for name in ("Dairy Day", "Harrow Creek Fall Judging Contest"):
        page.get_by_role("checkbox", name=name).check()
    assert_sound_at_every_width(page)
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("button", name="Release the sweepstakes")).to_be_visible()
    assert_sound_at_every_width(page)
    page.get_by_role("button", name="Release the sweepstakes").click()
    address = page.get_by_role("link", name="What everybody sees").get_attribute("href")
    stranger = make_page(None, width=360, height=740)
    stranger.goto(address)
    expect(stranger.get_by_role("row", name="1 Barley Hill")).to_have_count(1)
    assert_sound_at_every_width(stranger)
