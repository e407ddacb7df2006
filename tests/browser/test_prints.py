"""The print shop in a real browser: choosing, following, opening, and printing from the browser itself."""

import io
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.records import save_record
from scoring.models import PrintJob
from scoring.prints import jobs
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.views import print_shop
from tests.browser.soundness import assert_sound, assert_sound_at_every_width
from tests.factories import a_contest
from tests.scoring.prints.papers import Pdf
from tests.waiting import eventually


@pytest.fixture
def contest(transactional_db):
    yield a_contest()
    eventually(lambda: jobs.line.is_idle)


def open_shop(page, contest):
    page.goto(f"/contests/{contest.pk}/prints/")
    return page


def test_the_pages_are_sound_in_every_state(make_page, contest):
    for state in PrintJob.State:
        PrintJob.objects.create(
            contest=contest, document="results", revision=1, by="x", state=state, done=3, total=9, problem="Why not."
        )
    PrintJob.objects.filter(state__in=jobs.OPEN).delete()
    page = open_shop(make_page(), contest)
    page.get_by_text("Only some teams, people, lists or classes").click()
    assert_sound_at_every_width(page, "prints")
    page.goto(f"/contests/{contest.pk}/prints/awards/")
    assert_sound_at_every_width(page, "awards")


def test_a_document_is_chosen_with_the_keyboard_made_and_opened(make_page, contest):
    page = open_shop(make_page(), contest)
    page.get_by_role("checkbox", name="Check-in lists").focus()
    page.keyboard.press("Space")
    page.get_by_role("button", name="Make the PDF files").focus()
    page.keyboard.press("Enter")
    made = page.get_by_role("link", name="Check-in lists")
    expect(made).to_be_visible(timeout=60_000)
    answer = page.request.get(made.get_attribute("href"))
    assert answer.headers["content-type"] == "application/pdf"
    assert "Given101x Family101x" in Pdf(answer.body()).text
    page.get_by_role("button", name="Remove Check-in lists").click()
    expect(page.get_by_text("What you print stands here")).to_be_visible()


def test_a_long_job_shows_how_far_it_is_and_can_be_cancelled(make_page, transactional_db):
    page = open_shop(make_page(), save_record(read_book(DEMO_BOOK), by="test"))
    page.get_by_role("checkbox", name="Team packets", exact=True).check()
    page.get_by_role("button", name="Make the PDF files").click()
    expect(page.get_by_role("progressbar")).to_have_attribute("value", re.compile(r"\d+"), timeout=120_000)
    page.get_by_role("button", name="Cancel Team packets").click()
    expect(page.get_by_text("cancelled")).to_be_visible()
    eventually(lambda: jobs.line.is_idle)
    job = PrintJob.objects.get()
    assert job.state == PrintJob.State.CANCELLED
    assert not jobs.file_of(job).exists()


def test_a_job_that_the_server_left_behind_is_made_and_one_that_failed_is_started_anew(make_page, contest):
    left = {"contest": contest, "document": "results", "revision": 1, "by": "x"}
    PrintJob.objects.create(**left, state=PrintJob.State.RUNNING, attempt=1, done=3, total=9)
    page = open_shop(make_page(), contest)
    expect(page.get_by_role("link", name="Results", exact=True)).to_have_count(1, timeout=60_000)
    PrintJob.objects.update(state=PrintJob.State.FAILED, problem=jobs.IN_VAIN)
    page = open_shop(page, contest)
    expect(page.get_by_text("Each process that made this ended before it was ready.")).to_be_visible()
    page.get_by_role("button", name="Again Results as the contest is now").click()
    expect(page.get_by_role("link", name="Results", exact=True)).to_have_count(1, timeout=60_000)
    expect(page.get_by_text("ready, 1 page")).to_be_visible()
    expect(page).to_have_url(re.compile("#made$"))


def test_the_order_is_asked_for_where_a_document_is_chosen(make_page, contest):
    page = open_shop(make_page(), contest)
    order = page.get_by_label("Order").first
    expect(order).to_be_hidden()
    page.get_by_role("checkbox", name="Check-in lists").check()
    expect(order).to_be_visible()


def test_wrong_input_stays_typed_with_the_error_beside_it(make_page, contest):
    page = open_shop(make_page(), contest)
    page.get_by_role("checkbox", name="Team packets").check()
    page.get_by_text("Only some teams, people, lists or classes").click()
    page.get_by_label("Only these numbers").fill("101, 999")
    page.get_by_role("button", name="Make the PDF files").click()
    expect(page.get_by_text("Nobody has number 999.")).to_be_visible()
    expect(page.get_by_label("Only these numbers")).to_have_value("101, 999")
    expect(page.get_by_role("checkbox", name="Team packets")).to_be_checked()


def test_without_the_library_documents_print_from_the_browser(make_page, contest, monkeypatch):
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "it lacks libpango-1.0-0")
    page = open_shop(make_page(), contest)
    expect(page.get_by_text("No PDF on this machine")).to_be_visible()
    expect(page.get_by_role("button", name="Make the PDF files")).to_have_count(0)
    with page.context.expect_page() as opened:
        page.get_by_role("button", name="Look at Results").click()
    opened.value.wait_for_load_state()
    expect(opened.value.get_by_role("heading", level=1)).to_have_text("Results")
    printed = Pdf(opened.value.pdf(prefer_css_page_size=True))
    assert "Page 1 of 1" in printed.text
    assert "Choose A4" not in printed.text
    assert "101" in printed.text


def test_the_real_pages_are_seen_before_they_are_printed(make_page, contest):
    page = open_shop(make_page(), contest)
    with page.context.expect_page() as opened:
        page.get_by_role("button", name="Look at Results").click()
    look = opened.value
    picture = look.get_by_alt_text("Results, page 1")
    expect(picture).to_be_visible(timeout=60_000)
    assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") == 893
    expect(look.get_by_text("This is all: 1 page, of revision")).to_be_visible()
    assert_sound(look, "look")
    look.get_by_role("button", name="Make the PDF file").click()
    expect(look.get_by_role("link", name="Results", exact=True)).to_be_visible(timeout=60_000)


def test_every_page_from_the_browser_says_of_which_contest_and_moment_it_is(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/prints/look/packets/")
    page.evaluate("document.fonts.ready.then(() => null)")
    pages = Pdf(page.pdf(prefer_css_page_size=True)).pages
    assert len(pages) > 2
    for printed in pages:
        text = printed.extract_text(x_tolerance=1.5)
        assert "Harrow Creek Fall Judging Contest, Team packets" in text
        assert re.search(r"Revision \d+, as of .* \d\d:\d\d:\d\d", text)


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_document_looks_the_same_from_the_browser(make_page, contest, document):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/prints/look/{document}/")
    expect(page).to_have_title(re.compile(str(DOCUMENTS[document].title)))
    loaded = page.evaluate("[...document.styleSheets].every(sheet => sheet.cssRules.length > 0)")
    assert loaded
    made = Pdf(page.pdf(prefer_css_page_size=True))
    # A large figure or code has a box far taller than its ink, which the browser's font does not tell.
    if document not in ("numbers", "spare-numbers", "stack-covers", "join-sheet"):
        assert made.overlapping() == []


def test_ribbons_and_a_picture_are_set(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/prints/awards/")
    page.get_by_label("Name of place 1", exact=True).fill("Champion")
    page.get_by_label("Colour of place 1", exact=True).fill("purple")
    with page.expect_navigation():
        page.get_by_role("button", name="Save").click()
    expect(page.get_by_label("Name of place 1", exact=True)).to_have_value("Champion")
    written = io.BytesIO()
    Image.new("RGB", (40, 20), "green").save(written, "PNG")
    seal = {"name": "seal.png", "mimeType": "image/png", "buffer": written.getvalue()}
    page.get_by_label("File").set_input_files(seal)
    page.get_by_role("button", name="Use it").click()
    picture = page.get_by_alt_text("The picture at the head of the award sheets")
    expect(picture).to_be_visible()
    assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") == 40
    page.goto(f"/contests/{contest.pk}/prints/look/award-sheets/")
    expect(page.get_by_text("Champion").first).to_be_visible()
    page.goto(f"/contests/{contest.pk}/prints/awards/")
    page.get_by_role("button", name="Take it away").click()
    expect(picture).to_have_count(0)
