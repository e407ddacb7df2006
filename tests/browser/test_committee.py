"""A committee in a real browser: three officials on their own phones, the chair, the agreed key, the standings."""

from playwright.sync_api import expect

from contest.committee.officials import add_official, seat_official
from contest.models import Duty, Key
from scoring.core.record import Card
from tests.browser.soundness import assert_sound, assert_sound_at_every_width
from tests.contest.watch.cast import small_contest
from tests.factories import ClassFactory

PLACED = {"Mary": ("3124", 3, 5, 2), "Joe": ("3142", 4, 2, 3), "Lou": ("1324", 1, 6, 2)}


def contest_of_a_committee():
    """One class, which three officials place and 101, 102 and 103 have judged."""
    judged = ClassFactory(official=None, cuts=None)
    cards = tuple(
        Card(1, number, placing, placing) for number, placing in ((101, "3124"), (102, "1324"), (103, "4213"))
    )
    contest = small_contest(classes=(judged,), parts=(), cards=cards)
    officials = {name: add_official(contest, name, "Sue") for name in PLACED}
    seat_official(officials["Lou"], [1], True, "Sue")
    return contest, officials


def hand_in(page, placing, *cuts):
    page.get_by_label("Placing, the best first").fill(placing)
    for name, cut in zip(("Top", "Middle", "Bottom"), cuts, strict=True):
        page.keyboard.press("Tab")
        expect(page.get_by_label(f"{name} cut")).to_be_focused()
        page.keyboard.type(str(cut))
    page.keyboard.press("Enter")


def test_three_officials_agree_on_their_phones_and_the_class_is_scored(make_page):
    contest, officials = contest_of_a_committee()
    for name, placed in PLACED.items():
        phone = make_page((contest, Duty.COMMITTEE, f"{name} D.", None, officials[name]), width=360, height=740)
        phone.goto(f"/contests/{contest.pk}/watch/committee/")
        phone.get_by_role("link", name="Class 1").click()
        expect(phone.get_by_label("Placing, the best first")).to_be_visible()
        if name == "Mary":
            assert_sound(phone, "hand in")
            hand_in(phone, "3122", 3, 5, 2)
            expect(phone.locator(".errorlist")).to_contain_text("places animal 2 more than once")
        hand_in(phone, *placed)
        expect(phone.get_by_text("✓ Class 1 is handed in.")).to_be_visible()
        expect(phone.get_by_role("link", name="What the committee handed in")).to_have_count(int(name == "Lou"))
    assert_sound(phone, "own classes")
    phone.get_by_role("link", name="What the committee handed in").click()
    expect(phone.get_by_text("it loses the fewest points by all the officials’ keys together: 4.")).to_be_visible()
    expect(phone.get_by_role("row", name="2 over 4 ▲ not agreed yes, by 2 no, by 3 yes, by 2")).to_be_visible()
    assert_sound_at_every_width(phone, "side by side")
    expect(phone.get_by_label("Placing, the best first")).to_have_value("3124")
    phone.get_by_role("button", name="Enter it as the key").click()
    expect(phone.get_by_text("The key of class 1 is in.")).to_be_visible()
    kay = make_page((contest, Duty.KEYS, "Kay"))
    kay.goto(f"/contests/{contest.pk}/watch/keys/1/")
    kay.get_by_label("Placing and cuts").fill("3124 2 6 1")
    kay.get_by_role("button", name="Save it").click()
    expect(kay.get_by_text("Agreed by Mary, Joe, Lou.")).to_be_visible()
    assert str(Key.objects.get()) == "3124 2-6-1"
    page = make_page()
    page.goto(f"/contests/{contest.pk}/standings/SR/overall/")
    expect(page.get_by_role("row", name="1 101 ")).to_contain_text("50")
    expect(page.get_by_role("row", name="2 102 ")).to_contain_text("48")  # 1 over 3 costs the top cut
    page.goto(f"/contests/{contest.pk}/watch/keys/committee/")
    assert_sound_at_every_width(page, "officials")
