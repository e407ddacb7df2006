"""Questions by answer in a browser, from the set-up of the part to the mark and what each question told."""

import pytest
from playwright.sync_api import expect

from contest.models import Choice, Contest, Duty
from contest.records.tallying import tallied
from tests.browser.soundness import assert_sound_at_every_width
from tests.factories import ContestantFactory, DivisionFactory, a_contest

KEY = "ABCDA BCDAB CD"


@pytest.fixture
def contest(transactional_db):
    people = (ContestantFactory(number=101, group="A"), ContestantFactory(number=102, group="A"))
    return a_contest(divisions=(DivisionFactory(),), contestants=people, cards=())


def test_a_part_goes_from_its_set_up_to_the_mark(contest, make_page):
    home = f"/contests/{contest.pk}"
    sue = make_page()
    sue.goto(f"{home}/setup/parts/new/")
    sue.get_by_label("Name").fill("Quiz")
    sue.get_by_label("Code").fill("QUIZ")
    sue.get_by_label("How many questions").fill("12")
    sue.get_by_label("Letters of the answers").fill("abcd")
    sue.get_by_label("Points for each question").fill("5")
    assert_sound_at_every_width(sue, "setup")
    sue.get_by_role("button", name="Save", exact=True).click()
    expect(sue.locator("#parts")).to_be_visible()

    for name in ("Ann", "Ben"):
        page = make_page(who=(contest, Duty.KEYS, name))
        page.goto(f"{home}/watch/keys/parts/QUIZ/")
        page.get_by_label("The right answers, in a row").fill(KEY.lower())
        if name == "Ben":
            assert_sound_at_every_width(page, "key")
        page.get_by_role("button", name="Save it").click()
        expect(page.locator("#key-of-QUIZ")).to_contain_text("confirmed" if name == "Ben" else "typed once")
    assert_sound_at_every_width(page, "keys")

    for name in ("Cid", "Dot"):
        page = make_page(who=(contest, Duty.REASONS, name))
        page.goto(f"{home}/scores/choices/QUIZ/?group=A")
        now, message = page.locator("[data-part=now]"), page.locator("[data-part=message]")
        expect(now).to_have_text("101")
        if name == "Cid":
            page.keyboard.type("abcdabcd")
            page.keyboard.press("Enter")
            expect(message).to_contain_text("8 of 12 answers")
            page.keyboard.type("s")
            expect(message).to_contain_text("There is no answer S.")
            page.keyboard.type("a")
            page.keyboard.press("Backspace")
            expect(page.locator("[data-part=hint]")).to_have_text("8 of 12 answers")
            page.keyboard.type(".bd")
            assert_sound_at_every_width(page, "desk")
            page.keyboard.type("*")
        else:
            page.keyboard.type("abcdabcd-bd?")
        page.keyboard.press("Enter")
        expect(now).to_have_text("102")
        page.keyboard.type("-")
        page.keyboard.press("Enter")
        expect(page.locator("[data-part=end-title]")).to_be_visible()
        expect(page.locator("#last li").first).to_have_attribute("data-kind", "saved" if name == "Cid" else "settled")

    sue.goto(f"{home}/watch/doubts/")
    expect(sue.locator(".doubt-sheet")).to_contain_text("An answer is not clear")
    assert_sound_at_every_width(sue, "doubts")
    sue.get_by_label("What counts").fill("abcda bcd.b cd")
    sue.get_by_role("button", name="Decide").last.click()
    expect(sue.locator(".doubt-sheet")).to_have_count(0)
    assert {row.contestant.number: row.chosen for row in Choice.objects.all()} == {101: "ABCDABCD-BCD", 102: ""}
    points = {s.item: dict(zip(s.numbers, s.points, strict=True)) for s in tallied(Contest.objects.get()).result.scores}
    assert points["part:QUIZ"] == {101: 55, 102: 0}

    sue.goto(f"{home}/scores/marks/QUIZ/check/")
    sue.get_by_role("link", name="How each question went").click()
    expect(sue.locator("table.questions tbody tr").nth(8)).to_contain_text("0 of 1")
    assert_sound_at_every_width(sue, "questions")
