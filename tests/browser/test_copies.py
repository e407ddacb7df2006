"""What the superintendent reads of the machine, in a real browser: the copies, and a disk that takes nothing."""

from uuid import uuid4

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from contest.copies.places import default_shelf
from contest.copies.report import KeeperReport, write_report
from contest.copies.shelf import ContestInCopy, Copy, name_of, write_about
from contest.disk import trouble
from tests.browser.test_pages import assert_sound
from tests.factories import a_contest


@pytest.fixture
def data_folder(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path / "data"
    settings.DATA_FOLDER.mkdir()
    now = timezone.localtime()
    for number in (1, 2):
        path = default_shelf() / name_of(number, now)
        path.mkdir(parents=True)
        held = (ContestInCopy(1, "Harrow Creek Fall Judging Contest", 12, contestants=3, readings=1_200),)
        write_about(Copy(path, number, now, "key of class 1 confirmed", 15_100_000, "", "", True, contests=held))
    write_report(KeeperReport(number=2, at=now.isoformat(), age=200.0, shelf=str(default_shelf())))


@pytest.fixture
def full_disk(monkeypatch):
    """Nothing can be written; call it and there is room again."""

    def no_room(*args, **kwargs):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("contest.copies.views.ask_for_copy", no_room)
        patch.setattr("contest.disk.trouble.try_to_write", no_room)
        yield patch.undo


def come_to_light(page):
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")


def test_the_copies_are_listed_and_how_old_the_last_one_is_stands_on_every_page(make_page, data_folder, size):
    page = make_page(**size)
    page.goto("/")
    page.get_by_role("link", name="Last copy").click()
    expect(page.get_by_role("row")).to_have_count(3)
    expect(page.get_by_role("row").nth(1)).to_contain_text("1,200 cards read")
    expect(page.locator(".copies-state")).to_contain_text("3 minutes ago")
    assert_sound(page, "/copies/")


def test_a_full_disk_is_told_on_an_open_page_and_what_was_sent_is_kept(make_page, data_folder, full_disk, size):
    a_contest()
    page, other = make_page(**size), make_page(**size)
    other.goto("/")
    page.goto("/copies/")
    page.get_by_role("button", name="Copy now").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Not saved")
    assert_sound(page, "not saved")
    come_to_light(other)
    expect(other.get_by_role("alert").filter(has_text="Act now")).to_contain_text("the disk is full")
    assert_sound(other, "with the banner")

    full_disk()
    page.get_by_role("button", name="Send it again").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Copies")
    assert trouble.trouble() is None
    come_to_light(other)
    expect(other.get_by_text("Act now")).to_have_count(0)


def test_a_part_of_a_page_is_told_in_the_page(make_page, data_folder, full_disk):
    page = make_page()
    page.goto("/copies/")
    token = page.locator("[name=csrfmiddlewaretoken]").first.input_value()
    page.evaluate(
        "([token, submission]) => htmx.ajax('POST', '/copies/now/', "
        "{values: {submission}, headers: {'X-CSRFToken': token}, target: '#copies'})",
        [token, str(uuid4())],
    )
    expect(page.locator("#not-saved")).to_contain_text("Not saved. The disk of the main laptop is full.")
    expect(page.get_by_role("row")).to_have_count(3)  # what was there stays
