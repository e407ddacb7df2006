"""Taking back, withdrawing and the bin, as a superintendent presses them."""

import os
import re

import pytest
from playwright.sync_api import expect

from contest.models import Contest
from scoring.results.links import make_links
from tests.contest.entries.cast import two_divisions
from tests.scoring.results.cast import ready, release

SHOTS = os.environ.get("SHOTS")


def looked_at(page, name):
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    if SHOTS:
        page.screenshot(path=f"{SHOTS}/{name}-{page.viewport_size['width']}.png", full_page=True)


@pytest.fixture
def wide(make_page, size):
    return make_page(**size)


def test_everybody_scratched_by_mistake_is_back_at_a_press(wide):
    contest = two_divisions()
    wide.goto(f"/contests/{contest.pk}/entries/check-in/missing/")
    wide.get_by_text("Scratch all who have not come…").click()
    wide.get_by_label(re.compile("Yes, scratch the [0-9]")).check()
    wide.get_by_role("button", name="Scratch 5").click()
    wide.get_by_text("5 scratched.").wait_for()
    looked_at(wide, "offer")
    wide.get_by_role("button", name="Take it back").press("Enter")
    wide.get_by_text("taken back: 5 scratched who had not come").first.wait_for()
    looked_at(wide, "changes")
    assert contest.contestants.filter(present=True).count() == 5


def test_results_are_withdrawn_and_a_page_that_is_open_learns_of_it(wide, make_page):
    contest = ready()
    release(contest)
    make_links(contest, "Sue")
    reader = make_page(None)
    reader.goto(f"/results/{contest.pk}/")
    wide.goto(f"/contests/{contest.pk}/results/")
    wide.get_by_text("Withdraw what was announced…").click()
    looked_at(wide, "withdraw")
    wide.get_by_label("Why they are withdrawn").fill("the wrong contest")
    wide.get_by_role("button", name="Withdraw the results").click()
    wide.get_by_text("The results are withdrawn.").wait_for()
    looked_at(wide, "withdrawn")
    reader.reload()
    reader.get_by_text("The results were withdrawn. Come back later").wait_for()
    looked_at(reader, "reader")


def test_a_deleted_contest_comes_back_out_of_the_bin(wide):
    contest = two_divisions()
    wide.goto(f"/contests/{contest.pk}/delete/")
    looked_at(wide, "delete")
    wide.get_by_label("Type the name of the contest").fill(contest.name)
    wide.get_by_role("button", name="Delete it").click()
    expect(wide.get_by_text("No contest yet")).to_be_visible()
    wide.get_by_role("link", name="bin").click()
    wide.get_by_text("Delete it for good…").click()
    looked_at(wide, "bin")
    assert not Contest.objects.exists()
    wide.get_by_role("button", name="Restore").click()
    wide.wait_for_url(f"**/contests/{contest.pk}/")
    assert Contest.objects.exists()
    wide.goto(f"/contests/{contest.pk}/anonymise/")
    looked_at(wide, "anonymise")
    wide.goto(f"/contests/{contest.pk}/setup/")
    looked_at(wide, "setup")
