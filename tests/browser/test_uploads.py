"""A file that takes longer than a moment, in a real browser: how far it is, and an end to it."""

from threading import Event

import pytest
from playwright.sync_api import expect

from contest.models import Card, Contest
from contest.records import saving
from contest.uploads import brought
from tests.browser.test_pages import assert_sound
from tests.contest.uploads.cast import STUCK, demo_files, read_by, zipped


@pytest.fixture
def book():
    return {
        "name": "a-rather-long-name-of-a-book-" * 3 + ".zip",
        "mimeType": "application/zip",
        "buffer": zipped(demo_files()),
    }


@pytest.fixture
def not_at_once(monkeypatch):
    monkeypatch.setattr(brought, "AT_ONCE", 0.0)


def choose(page, book):
    page.goto("/contests/new/")
    page.get_by_label("Contest book, a .zip").set_input_files(book)
    page.get_by_role("button", name="Bring the book in").click()


def test_it_says_how_far_it_is_and_can_be_cancelled(make_page, size, book, not_at_once, monkeypatch):
    read_by(monkeypatch, STUCK)
    page = make_page(**size)
    choose(page, book)
    expect(page.get_by_text("reading cards.csv, row 12,000 of 30,000")).to_be_visible()
    assert_sound(page, "reading")
    page.get_by_role("button", name="Cancel").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("cancelled: nothing was saved")).to_be_visible()
    assert_sound(page, "cancelled")
    page.get_by_role("link", name="Bring another file").click()
    expect(page.get_by_role("heading", name="New contest")).to_be_visible()


def test_it_goes_on_by_itself_once_it_is_saved(make_page, book, not_at_once, monkeypatch):
    go_on, insert = Event(), saving.insertion

    def slowly(rows):
        if isinstance(rows[0], Card):
            assert go_on.wait(60)
        return insert(rows)

    monkeypatch.setattr(saving, "insertion", slowly)
    page = make_page()
    choose(page, book)
    expect(page.get_by_text("saving row")).to_be_visible()
    assert not Contest.objects.exists()
    go_on.set()
    page.wait_for_url("**/setup/")
    assert page.url.endswith(f"/contests/{Contest.objects.get().pk}/setup/")


def test_without_script_it_goes_on_too(make_page, book, not_at_once):
    page = make_page(java_script_enabled=False)
    choose(page, book)
    page.wait_for_url("**/setup/", timeout=60_000)
    assert Contest.objects.exists()
