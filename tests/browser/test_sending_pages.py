"""Long files of pages: sent in pieces, through a cut network, a page that is loaded again, and a cancel."""

import hashlib
import os

import pytest
from playwright.sync_api import expect

from contest import kept
from contest.models import Scan
from contest.scanning import arriving, jobs
from contest.scanning.folder import files_of
from contest.scanning.rules import change_rules
from tests.browser.soundness import assert_sound_in_every_light
from tests.factories import a_contest, people

PAGES = os.urandom(95_000)


@pytest.fixture
def contest(transactional_db, monkeypatch, settings, tmp_path):
    settings.DATA_FOLDER = tmp_path
    monkeypatch.setattr(arriving, "PIECE", 10_000)
    monkeypatch.setattr(jobs, "go_on", lambda: None)  # they are no pages, and only to arrive
    made = a_contest(contestants=people(2), cards=())
    change_rules(made, "Sue", on=True)
    return made


@pytest.fixture
def file(tmp_path):
    """One that stays the same, with its time too."""
    made = tmp_path / "cards.pdf"
    made.write_bytes(PAGES)
    return made


@pytest.fixture
def page(make_page, contest):
    made = make_page()
    made.goto(f"/contests/{contest.pk}/scanning/")
    return made


def choose_and_send(page, file):
    page.get_by_label("A PDF from a scanner").set_input_files(file)
    page.get_by_role("button", name="Read these pages").click()


def cut_after(page, pieces):
    """Let so many pieces through, and then none; whatever else is sent gets there."""
    seen = []

    def go_on(route):
        is_piece = "at=" in route.request.url
        if is_piece:
            seen.append(route.request.url)
        if is_piece and len(seen) > pieces:
            route.abort()
        else:
            route.continue_()

    page.route("**/scanning/send/**", go_on)


def all_here(page):
    expect(page.get_by_text("waits for its turn")).to_be_visible()
    scan = Scan.objects.get()
    assert scan.digest == hashlib.sha256(PAGES).hexdigest()
    assert [kept.at(name).read_bytes() for name in files_of(scan)] == [PAGES]


def test_a_long_file_arrives_as_it_was_sent(page, file):
    choose_and_send(page, file)
    all_here(page)


def test_a_cut_network_is_said_and_it_goes_on_by_itself(page, file):
    cut_after(page, 4)
    choose_and_send(page, file)
    expect(page.get_by_role("alert")).to_have_text("The laptop cannot be reached. It goes on by itself when it can.")
    expect(page.locator("#sending progress")).to_have_js_property("value", 40_000)
    assert_sound_in_every_light(page, "on its way")
    page.unroute("**/scanning/send/**")
    all_here(page)


def test_a_page_that_is_loaded_again_goes_on_where_it_broke_off(page, file):
    cut_after(page, 6)
    choose_and_send(page, file)
    expect(page.get_by_role("alert")).to_contain_text("cannot be reached")
    page.reload()
    expect(page.get_by_text("broke off at")).to_be_visible()
    page.unroute("**/scanning/send/**")
    assert_sound_in_every_light(page, "broke off")
    sent = []
    page.on("request", lambda request: "at=" in request.url and sent.append(request.url.split("at=")[1]))
    choose_and_send(page, file)
    all_here(page)
    assert sent == ["60000", "70000", "80000", "90000"]


def test_a_cancel_leaves_nothing(page, file):
    cut_after(page, 2)
    choose_and_send(page, file)
    expect(page.get_by_role("alert")).to_contain_text("cannot be reached")
    page.get_by_role("button", name="Cancel").click()
    expect(page.get_by_role("alert")).to_have_text("Cancelled. Nothing of it was kept.")
    page.unroute("**/scanning/send/**")
    expect(page.get_by_role("button", name="Read these pages")).to_be_visible()
    page.reload()
    expect(page.get_by_text("broke off at")).to_have_count(0)
    choose_and_send(page, file)
    all_here(page)


def test_a_cancel_is_said_once_the_laptop_knows_of_it_or_cannot_be_told(page, file):
    cut_after(page, 2)
    choose_and_send(page, file)
    expect(page.get_by_role("alert")).to_contain_text("cannot be reached")
    page.route("**/give-up/", lambda route: route.abort())
    page.get_by_role("button", name="Cancel").click()
    expect(page.get_by_role("alert")).to_contain_text("The laptop could not be told")
    page.reload()
    expect(page.get_by_text("broke off at")).to_be_visible()


def test_what_cannot_be_taken_is_said_before_it_is_sent(page, file, contest, monkeypatch):
    monkeypatch.setattr(arriving, "room_left", lambda folder: arriving.LITTLE_ROOM + 20_000)
    choose_and_send(page, file)
    expect(page.get_by_role("alert")).to_contain_text("disk has room for")
    expect(page.get_by_role("button", name="Read these pages")).to_be_visible()
    assert not arriving.deliveries_of(contest)
