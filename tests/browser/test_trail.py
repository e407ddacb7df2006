"""The trail and the accounts in a real browser: they fit, everybody can use them, and they work by keyboard."""

import re

import pytest
from playwright.sync_api import expect

from contest.trail import note, record_change, sentence
from contest.trail.sentences import Sentence
from tests.browser.soundness import assert_sound_at_every_width
from tests.browser.test_pages import LONG, console_errors
from tests.factories import a_contest


@pytest.fixture
def contest(transactional_db):
    """A trail of more than one page, with words as long as they can be."""
    made = a_contest()
    for number in range(60):
        record_change(
            made,
            LONG[:60],
            Sentence(f"class 1, contestant 101: {LONG}"[:200]),
            before={"last_name": LONG},
            after=number,
        )
    dealt = {str(number): "A" for number in range(1000, 1200)}
    record_change(made, "Ann", sentence("groups_dealt", count=3), after=dealt)
    note("Sue", sentence("account_made"), after={"person": LONG})
    return made


def test_every_page_fits_and_is_accessible(make_page, contest):
    page = make_page()
    errors = console_errors(page)
    at = f"/contests/{contest.pk}/trail/"
    for address in (at, f"{at}?words=nothing", f"{at}3/", "/trail/1/"):
        assert page.goto(address).status == 200
        assert_sound_at_every_width(page, address)
    page.goto("/superintendents/")
    page.get_by_label("Name", exact=True).fill(LONG[:60])
    page.get_by_role("button", name="Make the account").click()
    expect(page.locator("code.password")).to_have_text(re.compile(r"^\w{4}-\w{4}-\w{4}$"))
    assert_sound_at_every_width(page, "/superintendents/")
    assert errors == []


def test_what_is_looked_for_is_typed_and_sent_by_enter(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/trail/")
    page.get_by_label("Words").fill("groups dealt")
    page.keyboard.press("Enter")
    expect(page.get_by_role("status")).to_have_text("1 entry")
    page.get_by_role("link", name="groups dealt").press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("groups dealt")
    expect(page.get_by_text("1 to 100 of 200 changes").first).to_be_visible()
