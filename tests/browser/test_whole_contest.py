"""A whole small contest in the browser, from nothing to settled: a superintendent, two tabulators, two at the keys."""

import re

from playwright.sync_api import expect

from contest.helpers.codes import codes_of
from contest.models import Card, Contest, Duty
from contest.records.tallying import tallied
from contest.trail.proving import prove

LIST = """Number\tFirst\tLast\tTeam\tDivision\tGroup
101\tAda\tReed\tOak Lane\tJunior\tA
102\tBo\tFern\tOak Lane\tJunior\tA
103\tCy\tMarsh\tMill End\tJunior\tA
104\tDee\tAsh\tMill End\tJunior\tA
"""
CARDS = {
    1: {101: "3124", 102: "3142", 103: "1324", 104: "4213"},
    2: {101: "1234", 102: "1234", 103: "2134", 104: "1243"},
}
KEYS = {1: "3124 352", 2: "1234 223"}


def test_from_nothing_to_settled(make_page, transactional_db):
    boss = make_page()
    contest = set_up(boss)
    enter_everybody(boss, contest)

    for name in ("Kay", "Lee"):
        type_keys(join(make_page, contest, Duty.KEYS, name))
    for name in ("Ann", "Ben"):
        read_all(join(make_page, contest, Duty.TABULATOR, name))

    boss.goto(f"/contests/{contest.pk}/watch/progress/")
    expect(boss.get_by_role("row", name=re.compile("Aged geldings"))).to_contain_text("4 settled of 4")
    assert set(Card.objects.values_list("state", flat=True)) == {"settled"}

    boss.goto(f"/contests/{contest.pk}/standings/JR/overall/")
    expect(boss.get_by_role("row", name=re.compile(r"\b101\b")).first).to_contain_text("100")
    contest.refresh_from_db()
    overall = next(s for s in tallied(contest).result.standings if s.code == "overall")
    # By hand: 102 loses the bottom cut of 2 in class 1; 103 the top cuts, 3 and 2; 104 has class 1 the wrong way round
    # throughout, which loses 3 x 10 + 5, and loses the bottom cut of 3 in class 2.
    assert {row.number: row.total for row in overall.individuals} == {101: 100, 102: 98, 103: 95, 104: 15 + 47}
    assert prove(contest).problems == prove(None).problems == ()


def set_up(page) -> Contest:
    page.goto("/contests/new/")
    page.get_by_label("Name", exact=True).first.fill("Small Contest")
    page.get_by_role("button", name="Make an empty contest").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Small Contest")
    contest = Contest.objects.get()
    page.goto(f"/contests/{contest.pk}/setup/divisions/new/")
    page.get_by_label("Name").fill("Junior")
    page.get_by_label("Code").fill("JR")
    page.get_by_label("Members of a team who count").fill("2")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_role("link", name="Change division JR, Junior")).to_be_visible()
    for name in ("Aged geldings", "Yearling fillies"):
        page.goto(f"/contests/{contest.pk}/setup/classes/new/")
        page.get_by_label("Name").fill(name)
        page.get_by_role("button", name="Save", exact=True).click()
        expect(page.get_by_text(name).first).to_be_visible()
    return contest


def enter_everybody(page, contest):
    page.goto(f"/contests/{contest.pk}/entries/load/")
    page.get_by_label("Paste the rows here").fill(LIST)
    page.get_by_role("button", name="See what it would do").click()
    page.get_by_role("button", name="Add 4").click()
    expect(page.get_by_role("status").first).to_contain_text("4 added")


def join(make_page, contest, duty, name):
    page = make_page(who=None)
    page.goto("/join/")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Join code").fill(codes_of(contest)[duty])
    page.keyboard.press("Enter")
    expect(page.get_by_role("banner")).to_contain_text(name)
    return page


def type_keys(page):
    for number, key in KEYS.items():
        page.goto(page.url.split("/watch/")[0] + f"/watch/keys/{number}/")
        field = page.get_by_label("Placing and cuts")
        field.fill(key)
        field.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Keys")


def read_all(page):
    for number, cards in CARDS.items():
        page.locator("#stack").fill(f"{number}A")
        page.keyboard.press("Enter")
        expect(page.locator("[data-part=now]")).to_have_text(str(min(cards)))
        for contestant, placing in sorted(cards.items()):
            expect(page.locator("[data-part=now]")).to_have_text(str(contestant))
            if page.get_by_text("How do you type a card").is_visible():
                page.keyboard.press("+")
            page.keyboard.type(placing[:3])  # the fourth animal follows
        expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")
        page.goto(page.url.split("/desk/")[0] + "/desk/")
