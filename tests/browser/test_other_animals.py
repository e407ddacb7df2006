"""A day of a class of six animals under letters: set up, read, decided, placed in the lists, and a packet of it."""

import re

from playwright.sync_api import expect

from contest.models import Card, Contest, Duty
from contest.records.tallying import tallied
from scoring.prints.choice import Choice
from scoring.prints.documents.packets import DOCUMENT
from scoring.prints.gathering import gather_material
from tests.browser.test_whole_contest import enter_everybody, join

ANIMALS = "ABUXYZ"  # where animals are digits, U, X and Z do something
ANN = {101: "ZAYXUB", 102: "AZYXUB", 103: "unreadable", 104: "BUXYAZ"}
BEN = ANN | {102: "AZYXBU"}


def test_a_class_of_six_under_letters_from_its_set_up_to_a_packet(make_page, transactional_db):
    boss = make_page()
    contest = set_up(boss)
    enter_everybody(boss, contest)
    type_key(join(make_page, contest, Duty.KEYS, "Kay"), "zayxub 2 3 1 4 2")
    type_key(join(make_page, contest, Duty.KEYS, "Lee"), "Z-A-Y-X-U-B 23142")
    read_all(join(make_page, contest, Duty.TABULATOR, "Ann"), ANN)
    read_all(join(make_page, contest, Duty.TABULATOR, "Ben"), BEN)

    boss.goto(f"/contests/{contest.pk}/watch/doubts/")
    counts = boss.get_by_label("What counts")
    counts.fill("azy_ub")
    expect(boss.get_by_text("counts as AZYXUB")).to_be_visible()
    counts.press("Enter")
    expect(boss.get_by_label("What counts")).to_have_count(0)
    assert set(Card.objects.values_list("contestant__number", "placing", "state")) == {
        (number, placing, "settled") for number, placing in ANN.items()
    }

    # By hand: 102 loses the first cut of 2; 104 has all the wrong way round, 5 x 2 + 8 x 3 + 9 x 1 + 8 x 4 + 5 x 2.
    overall = next(s for s in tallied(Contest.objects.get()).result.standings if s.code == "overall")
    assert {row.number: row.total for row in overall.individuals} == {101: 100, 102: 98, 103: 0, 104: 15}
    boss.goto(f"/contests/{contest.pk}/standings/JR/overall/")
    expect(boss.get_by_role("row", name=re.compile(r"\b102\b")).first).to_contain_text("98")
    boss.goto(f"/contests/{contest.pk}/classes/1/")
    expect(boss.get_by_role("img", name="Z, A, Y, X, U, B; cuts 2, 3, 1, 4, 2, the best pair’s first")).to_be_visible()
    expect(boss.get_by_role("row", name=re.compile("AZYXUB"))).to_contain_text("A over Z costs 2")
    lost = packet_of(contest, 102)
    assert lost["lost"][0]["words"] == "you had A over Z, official Z over A: −2"
    assert lost["picture"].count("L") == len(ANIMALS)  # a line from each animal to itself


def set_up(page) -> Contest:
    page.goto("/contests/new/")
    page.get_by_label("Name", exact=True).first.fill("Six in a class")
    page.get_by_role("button", name="Make an empty contest").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Six in a class")
    contest = Contest.objects.get()
    page.goto(f"/contests/{contest.pk}/setup/divisions/new/")
    page.get_by_label("Name").fill("Junior")
    page.get_by_label("Code").fill("JR")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("link", name="Change division JR, Junior")).to_be_visible()
    page.goto(f"/contests/{contest.pk}/setup/classes/new/")
    page.get_by_label("Name").fill("Carcasses")
    page.get_by_role("textbox", name=re.compile("Animals")).fill("a b u x y y")
    page.get_by_label("Perfect score").fill("100")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("'ABUXYY' has a label twice.")).to_be_visible()
    page.get_by_role("textbox", name=re.compile("Animals")).fill("a b u x y z")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("animals A, B, U, X, Y, Z")).to_be_visible()
    return contest


def type_key(page, key):
    page.goto(page.url.split("/watch/")[0] + "/watch/keys/1/")
    field = page.get_by_label("Placing and cuts")
    field.fill(key)
    field.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Keys")


def read_all(page, cards):
    """Five letters a card, in either case; a letter that is no animal, and one that is there twice, stop the card."""
    page.locator("#stack").fill("1A")
    page.keyboard.press("Enter")
    now = page.locator("[data-part=now]")
    expect(now).to_have_text("101")
    page.keyboard.press("+")  # all animals but the last
    expect(page.get_by_text("Animals A B U X Y Z: type 5 of them, best first")).to_be_visible()
    for wrong in ("n", "zz"):
        page.keyboard.type(wrong)
        expect(page.locator("[data-part=message]")).to_contain_text("Press Enter, then type this card again.")
        page.keyboard.press("Enter")
    for number, placing in cards.items():
        expect(now).to_have_text(str(number))
        if placing == "unreadable":
            page.keyboard.press("*")
        else:
            page.keyboard.type(placing[:5].lower() if number % 2 else placing[:5])
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")


def packet_of(contest, number):
    made = DOCUMENT.build(gather_material(contest.pk, DOCUMENT), Choice())
    people = [person for packet in made["packets"] for person in packet["people"]]
    return next(person for person in people if person["number"] == number)["classes"][0]
