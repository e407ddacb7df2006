"""Forms that keep what is typed: keys and class notes wait on the device while the server is away, and a form that was
left by mistake has its text again."""

import pytest
from playwright.sync_api import expect

from contest.models import Duty, Key
from reasons.models import PairNote
from tests.browser.soundness import assert_sound
from tests.contest.watch.cast import small_contest
from tests.reasons.day.cast import reasons_contest


@pytest.fixture
def contest(transactional_db):
    contest = small_contest()
    Key.objects.filter(judging_class__contest=contest).delete()
    return contest


def away(page):
    page.route("**/contests/**", lambda route: route.abort())


def back(page):
    page.unroute("**/contests/**")


def test_a_key_waits_on_the_device_while_the_server_is_away_and_has_its_text_again_when_left(make_page, contest):
    page = make_page(who=(contest, Duty.KEYS, "Ann"), width=360, height=740)
    address = f"/contests/{contest.pk}/watch/keys/1/"
    page.goto(address)
    field, kept = page.get_by_label("Placing and cuts"), page.get_by_text("what you typed here is back")
    field.fill("3124 3")
    page.get_by_role("link", name="Keys").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Keys")
    page.goto(address)
    expect(kept).to_be_visible()
    expect(field).to_have_value("3124 3")
    assert_sound(page)
    page.get_by_role("button", name="Throw it away").click()
    expect(field).to_have_value("")
    field.fill("3124 9")
    page.get_by_role("button", name="Save it").click()
    expect(page.locator(".wrong")).to_be_visible()  # the page itself says what is wrong
    field.fill("3124 352")
    away(page)
    page.get_by_role("button", name="Save it").click()
    expect(page.locator("#sign")).to_contain_text("1 entry kept on this device")
    assert not Key.objects.filter(judging_class__contest=contest).exists()
    back(page)
    expect(page.get_by_role("status").filter(has_text="typed once")).to_be_visible()
    assert Key.objects.get(judging_class__contest=contest).official == "3124"
    page.goto(address)
    expect(field).to_be_visible()
    expect(kept).to_have_count(0)


def test_class_notes_wait_on_the_device_too_and_what_was_refused_meanwhile_stays_in_sight(make_page):
    contest = reasons_contest()
    page = make_page(who=(contest, Duty.OFFICIAL, "Ola"))
    page.goto(f"/contests/{contest.pk}/reasons/notes/3/")
    page.get_by_label("What decided it").first.fill("heavier bone")
    away(page)
    page.get_by_role("button", name="Save the notes").click()
    expect(page.locator("#sign")).to_contain_text("1 entry kept on this device")
    back(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Class notes")
    assert PairNote.objects.filter(judging_class__contest=contest, decided_by="heavier bone").exists()
    page.goto(f"/contests/{contest.pk}/reasons/notes/3/")
    page.get_by_label("What decided it").first.fill("straighter top")
    away(page)
    page.get_by_role("button", name="Save the notes").click()
    expect(page.locator("#sign")).to_contain_text("1 entry kept on this device")
    PairNote.objects.filter(judging_class__contest=contest, pair=1).update(decided_by="theirs")
    back(page)
    page.goto(f"/contests/{contest.pk}/reasons/notes/")  # it goes out from another page, which says what became of it
    expect(page.locator("#kept")).to_contain_text("Notes on class 3: the notes were changed meanwhile")
    assert_sound(page)
    page.locator("#kept").get_by_role("link", name="Open it").click()
    expect(page.get_by_text("what you typed here is back")).to_contain_text("says “theirs” now")
    page.locator("#kept").get_by_role("button", name="Seen").click()
    expect(page.locator("#kept")).to_be_empty()


def test_what_is_typed_while_the_page_asks_about_what_was_sent_before_is_kept(make_page):
    contest = reasons_contest()
    page = make_page(who=(contest, Duty.OFFICIAL, "Ola"))
    notes = f"/contests/{contest.pk}/reasons/notes/"
    page.goto(f"{notes}3/")
    decided_by = page.get_by_label("What decided it").first
    decided_by.fill("heavier bone")
    page.get_by_role("button", name="Save the notes").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Class notes")
    asked = []
    page.route("**/sent/**", lambda route: asked.append(route))
    with page.expect_request("**/sent/**"):
        page.goto(f"{notes}3/")
    decided_by.fill("straighter top")
    with page.expect_event("requestfinished", lambda request: "/sent/" in request.url):
        asked[0].continue_()
    page.unroute("**/sent/**")
    page.goto(notes)
    page.goto(f"{notes}3/")
    expect(page.get_by_text("what you typed here is back")).to_be_visible()
    expect(decided_by).to_have_value("straighter top")
