"""A whole day of six animals under letters that a committee places: from an empty contest to a released packet."""

import re

from playwright.sync_api import expect

from contest.helpers.codes import committee_codes
from contest.models import Card, Contest, Duty, Key
from contest.records.tallying import tallied
from scoring.models import Release
from tests.browser.soundness import assert_sound
from tests.browser.test_other_animals import packet_of, type_key
from tests.browser.test_whole_contest import enter_everybody, join

ANIMALS = "ABCXYZ"
PLACED = {"Mary": ("BAXCZY", 2, 3, 5, 3, 1), "Joe": ("BAXZCY", 3, 3, 4, 1, 2), "Lou": ("ABXCZY", 1, 4, 5, 2, 2)}
"""By hand: BAXCZY loses what lies between the two that each of the others has the other way round, 1 by Joe and 1 by
Lou, and nothing by Mary; its cuts are the rounded means of what the three say of B over A (2 + 3 - 1), A over X
(3 + 3 + 5), X over C (5 + 5 + 5), C over Z (3 - 1 + 2) and Z over Y (1 + 3 + 2)."""
PROPOSED = ("BAXCZY", "1", "4", "5", "1", "2")
ANN = {101: "BAXCZY", 102: "ABXCZY", 103: "unreadable", 104: "YZCXAB"}
BEN = ANN | {102: "BAXCYZ"}


def test_a_day_of_six_animals_with_a_committee(make_page, transactional_db):
    boss = make_page()
    contest = set_up(boss)
    enter_everybody(boss, contest)
    seat_committee(boss, contest)
    codes = committee_codes(contest)
    for official in contest.committee_officials.all():
        phone = hand_in_alone(make_page, contest, official, codes[official.pk])
    agree(phone)
    type_key(join(make_page, contest, Duty.KEYS, "Kay"), "baxczy 1 4 5 1 2")
    assert list(Key.objects.get().agreed_by.values_list("name", flat=True)) == list(PLACED)
    read_all(join(make_page, contest, Duty.TABULATOR, "Ann"), ANN)
    read_all(join(make_page, contest, Duty.TABULATOR, "Ben"), BEN)
    decide(boss, contest)
    release(boss, contest)

    # By hand: 102 has A over B, the first cut of 1; 104 has all the wrong way round, 5 x 1 + 8 x 4 + 9 x 5 + 8 x 1 +
    # 5 x 2.
    overall = next(s for s in tallied(Contest.objects.get()).result.standings if s.code == "overall")
    assert {row.number: row.total for row in overall.individuals} == {101: 100, 102: 99, 103: 0, 104: 0}
    crowd = make_page(who=None, width=360, height=740)
    crowd.goto(f"/results/{contest.pk}/")
    expect(crowd.get_by_role("row", name=re.compile(r"\b102\b")).first).to_contain_text("99")
    lost = packet_of(contest, 102)
    assert (lost["official"], lost["lost"][0]["words"]) == ("BAXCZY", "you had A over B, official B over A: −1")


def set_up(page) -> Contest:
    page.goto("/contests/new/")
    page.get_by_label("Name", exact=True).first.fill("Six by a committee")
    page.get_by_role("button", name="Make an empty contest").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Six by a committee")
    contest = Contest.objects.get()
    page.goto(f"/contests/{contest.pk}/setup/divisions/new/")
    page.get_by_label("Name").fill("Junior")
    page.get_by_label("Code").fill("JR")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("link", name="Change division JR, Junior")).to_be_visible()
    page.goto(f"/contests/{contest.pk}/setup/classes/new/")
    page.get_by_label("Name").fill("Ewes")
    page.get_by_role("textbox", name=re.compile("Animals")).fill("a b c x y z")
    page.get_by_label("Perfect score").fill("100")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("animals A, B, C, X, Y, Z")).to_be_visible()
    return contest


def seat_committee(page, contest):
    page.goto(f"/contests/{contest.pk}/watch/keys/committee/")
    for name in PLACED:
        page.get_by_label("Name").fill(name)
        page.get_by_role("button", name="Add", exact=True).click()
        expect(page.get_by_role("heading", name=name, exact=True)).to_be_visible()
    lou = page.get_by_role("article", name="Lou")
    lou.get_by_label(re.compile("Chair")).check()
    with page.expect_navigation():
        lou.get_by_role("button", name=re.compile("Save")).click()
    expect(page.get_by_role("article", name="Lou").get_by_label(re.compile("Chair"))).to_be_checked()


def hand_in_alone(make_page, contest, official, code):
    """An official's own phone, let in by their own code; it shows nothing of the others'."""
    phone = make_page(who=None, width=360, height=740)
    phone.goto("/join/")
    phone.get_by_label("Your name").fill(f"{official.name} D.")
    phone.get_by_label("Join code").fill(code)
    phone.keyboard.press("Enter")
    phone.get_by_role("link", name="Class 1").click()
    placing, *cuts = PLACED[official.name]
    phone.get_by_label("Placing, the best first").fill(" ".join(placing.lower()))
    for place, cut in enumerate(cuts, start=1):
        phone.keyboard.press("Tab")
        expect(phone.get_by_label(f"{place}. cut")).to_be_focused()
        phone.keyboard.type(str(cut))
    phone.keyboard.press("Enter")
    expect(phone.get_by_text("✓ Class 1 is handed in.")).to_be_visible()
    for other in PLACED.keys() - {official.name}:
        expect(phone.get_by_text(PLACED[other][0])).to_have_count(0)
    return phone


def agree(phone):
    """The chair looks at the proposal, and enters it as it was agreed."""
    phone.get_by_role("link", name="What the committee handed in").click()
    placing, *cuts = PROPOSED
    expect(phone.get_by_label("Placing, the best first")).to_have_value(placing)
    for place, cut in enumerate(cuts, start=1):
        expect(phone.get_by_label(f"{place}. cut")).to_have_value(cut)
    assert_sound(phone, "six animals side by side")
    phone.get_by_role("button", name="Enter it as the key").click()
    expect(phone.get_by_text("The key of class 1 is in.")).to_be_visible()


def read_all(page, cards):
    page.locator("#stack").fill("1A")
    page.keyboard.press("Enter")
    now = page.locator("[data-part=now]")
    expect(now).to_have_text("101")
    page.keyboard.press("+")  # all animals but the last
    for number, placing in cards.items():
        expect(now).to_have_text(str(number))
        if placing == "unreadable":
            page.keyboard.press("*")
        else:
            page.keyboard.type(placing[:5].lower() if number % 2 else placing[:5])
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")


def decide(boss, contest):
    boss.goto(f"/contests/{contest.pk}/watch/doubts/")
    expect(boss.get_by_text("not in class 1")).to_be_visible()  # of six nothing is said of mix-ups
    counts = boss.get_by_label("What counts")
    counts.fill("abxczy")
    counts.press("Enter")
    expect(boss.get_by_label("What counts")).to_have_count(0)
    assert set(Card.objects.values_list("contestant__number", "placing", "state")) == {
        (number, placing, "settled") for number, placing in ANN.items()
    }


def release(boss, contest):
    """What the checklist still has is looked at, or left for a reason."""
    boss.goto(f"/contests/{contest.pk}/results/")
    for tick in boss.get_by_role("checkbox").all():
        tick.check()
    for why in boss.get_by_label("Not mended, because").all():
        why.fill("a small contest")
    boss.get_by_role("button", name="Go on to the release…").click()
    expect(boss.get_by_role("heading", name="What becomes public where")).to_be_visible()
    boss.get_by_role("button", name="No ceremony: make everything public now").click()
    expect(boss.get_by_role("status").first).to_contain_text("The results are released.")
    assert Release.objects.count() == 1
