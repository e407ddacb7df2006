"""Keep/cull in a browser, from the set-up of the part to the packet that tells what the best choice was."""

import re

import pytest
from playwright.sync_api import expect

from contest.models import Choice, Contest, Duty
from contest.records.tallying import tallied
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice as PrintChoice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of
from tests.browser.soundness import assert_sound_at_every_width
from tests.factories import ContestantFactory, DivisionFactory, a_contest


@pytest.fixture
def contest(transactional_db):
    people = (ContestantFactory(number=101, group="A"), ContestantFactory(number=102, group="A"))
    return a_contest(divisions=(DivisionFactory(),), contestants=people, cards=())


def test_a_part_goes_from_its_set_up_to_the_packet(contest, make_page):
    home = f"/contests/{contest.pk}"
    sue = make_page()
    sue.goto(f"{home}/setup/parts/new/")
    sue.get_by_label("Name").fill("Eight ewes")
    sue.get_by_label("Code").fill("KEEP")
    sue.get_by_label("Labels of its animals").fill("12345678")
    sue.get_by_label("How many of them are kept").fill("4")
    assert_sound_at_every_width(sue, "setup")
    sue.get_by_role("button", name="Save", exact=True).click()
    expect(sue.locator("#parts")).to_be_visible()

    for name in ("Ann", "Ben"):
        page = make_page(who=(contest, Duty.KEYS, name))
        page.goto(f"{home}/watch/keys/")
        page.get_by_role("link", name="Eight ewes").click()
        page.get_by_label("What keeping each animal is worth").fill("14 2 11 1 13 12 5 4")
        if name == "Ben":
            assert_sound_at_every_width(page, "values")
        page.get_by_role("button", name="Save it").click()
        expect(page).to_have_url(re.compile("/keys/"))
        expect(page.locator("#key-of-KEEP")).to_contain_text("confirmed" if name == "Ben" else "typed once")
    assert_sound_at_every_width(page, "keys")

    for name in ("Cid", "Dot"):
        page = make_page(who=(contest, Duty.REASONS, name))
        page.goto(f"{home}/scores/choices/KEEP/?group=A")
        now, message = page.locator("[data-part=now]"), page.locator("[data-part=message]")
        expect(now).to_have_text("101")
        if name == "Cid":
            page.keyboard.type("6531")
            assert_sound_at_every_width(page, "desk")
            page.keyboard.press("Enter")
            expect(now).to_have_text("102")
            page.keyboard.type("9")
            expect(message).to_contain_text("There is no animal 9")
            page.keyboard.press("Backspace")
            page.keyboard.type("135")
            page.keyboard.press("Enter")
            expect(message).to_contain_text("3 kept instead of 4: it earns 0")
            page.keyboard.press("Enter")
        else:
            page.keyboard.type("1356")
            page.keyboard.press("Enter")
            page.keyboard.type("4531")
            page.keyboard.press("Enter")
        expect(page.locator("[data-part=end-title]")).to_be_visible()
        expect(page.locator("#last li").first).to_have_attribute("data-kind", "saved" if name == "Cid" else "differs")

    sue.goto(f"{home}/watch/doubts/")
    assert_sound_at_every_width(sue, "doubts")
    sue.get_by_label("What counts").fill("b")
    expect(sue.locator("output.meaning")).to_have_text("counts as 1345")
    sue.get_by_role("button", name="Decide").last.click()
    expect(sue.locator(".doubt-sheet")).to_have_count(0)
    assert {row.contestant.number: row.chosen for row in Choice.objects.all()} == {101: "1356", 102: "1345"}

    sue.goto(f"{home}/standings/contestants/102/")
    expect(sue.locator("main")).to_contain_text("kept 4, worth 1 instead of 12")
    assert_sound_at_every_width(sue, "sheet")
    points = {s.item: dict(zip(s.numbers, s.points, strict=True)) for s in tallied(Contest.objects.get()).result.scores}
    assert points["part:KEEP"] == {101: 50, 102: 39}
    packets = DOCUMENTS["packets"]
    html = html_of(packets, gather_material(contest.pk, packets), PrintChoice())[0]
    assert "kept 4, worth 1 instead of 12" in html and "best: 1, 3, 5, 6, together 50" in html
