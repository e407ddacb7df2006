"""Cards by scanner, from the print shop to the standings: printed, drawn by another renderer, marked by hands, brought,
read, settled by the keyboard, and counted as the same placings are that people enter."""

import io
import random
from itertools import islice
from uuid import uuid4

import pytest
from PIL import Image
from playwright.sync_api import expect

from contest.models import ChoiceReading, Contest, Duty, Reading, Scan, ScannedCard
from contest.records.tallying import tallied
from contest.scanning import jobs
from contest.scanning.reader import layout
from contest.scanning.reader.finding import cards_on
from contest.scanning.rules import change_rules
from contest.scanning.whose import secret_of
from contest.slips.known_cards import read_card
from scoring.core.record import Part
from scoring.prints import jobs as prints
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of, render_pdf
from tests.browser.soundness import assert_sound_at_every_width, assert_sound_in_every_light
from tests.contest.scanning.pens import Drawn, Hand, cut, rasterised
from tests.contest.scanning.scanners import seen
from tests.factories import RulesFactory, a_contest, people
from tests.slips import read_choice
from tests.waiting import eventually

DPI = 200
ANIMALS = "1234"
SAYS = {101: "3124", 102: "1324", 103: "3142", 104: "4321", 105: "2134", 106: "3124", 107: "1234"}
TWO_MARKS, PHOTOGRAPHED = 103, 106


def made(readings):
    contest = a_contest(rules=RulesFactory(readings_per_card=readings), contestants=people(len(SAYS)), cards=())
    change_rules(contest, "Sue", on=True)
    return contest


@pytest.fixture
def contest(transactional_db, settings, monkeypatch, tmp_path):
    """Every card is read by the scanner and by a person. Whatever prints cards signs them as the server does."""
    (tmp_path / "secret-key").write_text(settings.SECRET_KEY, encoding="ascii")
    monkeypatch.setenv("TANBARK_DATA", str(tmp_path))
    yield made(2)
    eventually(lambda: prints.line.is_idle and jobs.line.is_idle)


def bare_cards(contest, pdf):
    """The print shop's own cards as the cutter leaves them, drawn by poppler, by number."""
    found = {}
    for card in cut(rasterised(pdf)):
        for one in islice(cards_on(card, secret_of(contest)), 1):
            found[one.whose.number] = Drawn(card, one.whose, ANIMALS)
    return found


def printed(contest):
    document = DOCUMENTS["placing-cards"]
    html, *_ = html_of(document, gather_material(contest.pk, document), Choice(paper="a4"))
    return render_pdf(html)


def marked(card, placing, pen="ballpoint", also=()):
    """A card with a cross for each animal in its place, and perhaps a second, thinner one of a pencil."""
    hand = Hand(random.Random(f"{card.identity.number}"), pen, "cross", steady=0.3)
    boxes = layout.boxes(len(ANIMALS))
    for place, animal in enumerate(placing):
        hand.marks(card, boxes[place][ANIMALS.index(animal)])
    for place, animal in also:
        Hand(random.Random(5), "pale pencil", "tick", steady=0.3).marks(card, boxes[place][ANIMALS.index(animal)])
    return card


def scan_of(*cards):
    """A scanner's PDF: two cards a page, the second page turned round."""
    pages = []
    for at in range(0, len(cards), 2):
        some = [seen(card, random.Random(at), DPI, "scanner") for card in cards[at : at + 2]]
        size = (max(card.width for card in some), sum(card.height for card in some))
        page = Image.new("L", size, 255)
        for place, card in enumerate(some):
            page.paste(card, (0, place * some[0].height))
        pages.append(page.rotate(180 * (at // 2 % 2)))
    pdf = io.BytesIO()
    pages[0].save(pdf, "PDF", resolution=DPI, save_all=True, append_images=pages[1:])
    return {"name": "cards.pdf", "mimeType": "application/pdf", "buffer": pdf.getvalue()}


def photograph_of(card):
    data = io.BytesIO()
    seen(card, random.Random(11), DPI, "phone").save(data, "JPEG", quality=85)
    return {"name": "IMG_0001.jpg", "mimeType": "image/jpeg", "buffer": data.getvalue()}


def print_cards(page, contest, document="Placing cards"):
    page.goto(f"/contests/{contest.pk}/prints/")
    page.get_by_role("checkbox", name=document, exact=True).check()
    page.get_by_role("button", name="Make the PDF files").click()
    made = page.get_by_role("link", name=document, exact=True)
    expect(made).to_be_visible(timeout=60_000)
    return page.request.get(made.get_attribute("href")).body()


def bring(page, contest, file, label="A PDF from a scanner", press="Read these pages"):
    page.goto(f"/contests/{contest.pk}/scanning/")
    page.get_by_label(label).set_input_files(file)
    page.get_by_role("button", name=press).click()
    expect(page.locator(".scans li.done, .scans li.failed").first).to_be_visible(timeout=60_000)
    expect(page.get_by_role("progressbar")).to_have_count(0, timeout=60_000)


def settle(page, key, then):
    page.keyboard.press(key)
    expect(page.get_by_role("status").filter(has_text=then)).to_be_visible()


def test_from_the_print_shop_to_the_standings(make_page, contest):
    page = make_page()
    cards = bare_cards(contest, print_cards(page, contest))
    assert set(cards) == set(SAYS)
    of_another = bare_cards(other := made(2), printed(other))[104]
    for number, placing in SAYS.items():
        marked(cards[number], placing, also=[(0, "4")] if number == TWO_MARKS else ())
    marked(of_another, "4321")
    scanned = [cards[number] for number in SAYS if number not in (PHOTOGRAPHED, 104)]
    del cards[104]  # this contestant wrote on a plain card

    page.goto(f"/contests/{contest.pk}/scanning/")
    assert_sound_in_every_light(page, "before")
    bring(page, contest, scan_of(*scanned, of_another, cards[101]))
    phone = make_page((contest, Duty.TABULATOR, "Ann"), width=360, height=740)
    bring(
        phone,
        contest,
        photograph_of(cards[PHOTOGRAPHED]),
        "Photographs taken with this phone",
        "Read these photographs",
    )
    read = Reading.objects.filter(source="scanner").values_list("number", "placing")
    assert dict(read) == {number: SAYS[number] for number in (101, 102, 105, 106, 107)}

    # What a machine must not decide: one key each, the picture beside it, the surest first.
    expect(phone.get_by_text("3 cards wait for a person.")).to_be_visible()
    phone.get_by_role("link", name="Look at them").click()
    expect(phone.locator(".scanned-card img")).to_be_visible()
    assert_sound_at_every_width(phone, "a card")
    why = {trouble for text in ScannedCard.objects.values_list("troubles", flat=True) for trouble in text.split()}
    assert why >= {"two_marks", "other_contest", "seen_twice"}
    for _card in range(3):
        heading = phone.get_by_role("heading", level=2)
        text = heading.inner_text()
        assert (
            phone.locator(".scanned-card img").evaluate("image => image.decode().then(() => image.naturalWidth)") > 100
        )
        if str(TWO_MARKS) in text:
            settle(phone, "Enter", f"Class 1, contestant {TWO_MARKS}: {SAYS[TWO_MARKS]}")
        else:
            settle(
                phone, "-", "Put aside: scanned before" if "101" in text else "Put aside: not a card of this contest"
            )
    expect(phone.get_by_role("heading", name="No card waits")).to_be_visible()

    # A second person reads the pictures at the desk, blind; of 104 there is none, and 102 is misread.
    desk = make_page((contest, Duty.TABULATOR, "Bob"))
    desk.goto(f"/contests/{contest.pk}/desk/")
    desk.locator("#stack").fill("1")
    desk.keyboard.press("Enter")
    desk.get_by_role("button", name="All four digits").click()
    assert_sound_in_every_light(desk, "a stack with pictures")
    for number, placing in SAYS.items():
        expect(desk.locator("[data-part=now]")).to_have_text(str(number))
        if number == 104:
            expect(desk.get_by_text("There is no picture of this card: read it from paper.")).to_be_visible()
        else:
            picture = desk.get_by_alt_text(f"Picture of the card of {number}")
            expect(picture).to_be_visible()
            assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") > 100
        desk.keyboard.type("1423" if number == 102 else placing)
    expect(desk.get_by_text("7 of 7 read")).to_be_visible()
    expect(desk.locator("#sign")).to_have_attribute("data-waiting", "0")
    read_card(contest, 1, 104, SAYS[104], "Ann", uuid4())

    # What differs is a doubt with the picture.
    page.goto(f"/contests/{contest.pk}/results/")
    expect(page.locator("strong").filter(has_text="Class 1: 1 card in doubt: 102")).to_be_visible()
    page.goto(f"/contests/{contest.pk}/watch/doubts/")
    doubt = page.locator(".doubts > li")
    expect(doubt).to_have_count(1)
    expect(doubt.get_by_alt_text("Picture of the card")).to_be_visible()
    assert_sound_in_every_light(page, "a doubt")
    expect(page.locator(":focus")).to_have_attribute("id", "card-1-102-counts")
    page.keyboard.type(SAYS[102])
    page.keyboard.press("Enter")
    expect(page.locator(".doubts > li")).to_have_count(0)

    # Nothing is left, and all of it counts as the same placings do that two people type.
    page.goto(f"/contests/{contest.pk}/results/")
    expect(page.get_by_text("Go on to the release").first).to_be_visible()
    expect(page.get_by_text("Blocks the release")).to_have_count(0)
    for number, placing in SAYS.items():
        for by in ("Cy", "Dee"):
            read_card(other, 1, number, placing, by, uuid4())
    lists = []
    for one in (contest, other):
        page.goto(f"/contests/{one.pk}/standings/")
        lists.append(page.locator("main table").first.inner_text())
    assert lists[0] == lists[1]
    assert tallied(Contest.objects.get(pk=contest.pk)).result == tallied(Contest.objects.get(pk=other.pk)).result


def test_pages_that_were_cancelled_go_on_where_they_stopped(make_page, contest, monkeypatch):
    cards = bare_cards(contest, printed(contest))
    file = scan_of(*(marked(cards[number], SAYS[number]) for number in SAYS))
    take_page, stopped = jobs.take_page, []

    def take_one(scan, page, *found, **more):
        """The second page waits until somebody has cancelled."""
        if page == 2 and not stopped:
            stopped.append(page)
            eventually(lambda: Scan.objects.get().state == "cancelled")
        return take_page(scan, page, *found, **more)

    monkeypatch.setattr(jobs, "take_page", take_one)
    page = make_page()
    page.goto(f"/contests/{contest.pk}/scanning/")
    page.get_by_label("A PDF from a scanner").set_input_files(file)
    page.get_by_role("button", name="Read these pages").click()
    expect(page.get_by_text("page 2 of 4")).to_be_visible(timeout=60_000)
    eventually(lambda: stopped)  # else it would wait for somebody to cancel when the pages are brought again
    page.get_by_role("button", name="Cancel", exact=True).last.click()
    expect(page.get_by_text("cancelled at page 2 of 4")).to_be_visible()
    eventually(lambda: jobs.line.is_idle)
    assert Reading.objects.count() == 2
    bring(page, contest, file)
    expect(page.get_by_text("4 pages read")).to_be_visible(timeout=60_000)
    assert dict(Reading.objects.values_list("number", "placing")) == SAYS
    assert Reading.objects.count() == len(SAYS)


def test_keep_cards_go_from_the_print_shop_to_what_was_kept(make_page, contest):
    ewes = Part("KEEP", "Ewes", ("SR",), 0, "individual", animals="12345678", keep=4)
    keeping = a_contest(
        rules=RulesFactory(readings_per_card=2), contestants=people(3), parts=(ewes,), classes=(), cards=()
    )
    change_rules(keeping, "Sue", on=True)
    page = make_page()
    cards = bare_cards(keeping, print_cards(page, keeping, "Keep/cull cards"))
    assert set(cards) == {101, 102, 103}
    says = {101: "1356", 102: "1247", 103: "12358"}  # the last keeps one too many
    for number, kept in says.items():
        hand = Hand(random.Random(number), "ballpoint", "cross", steady=0.3)
        for label, (keep, cull) in zip(ewes.animals, layout.kept_boxes(len(ewes.animals)), strict=True):
            hand.marks(cards[number], keep if label in kept else cull)
    bring(page, keeping, scan_of(*cards.values()))
    read = ChoiceReading.objects.filter(source="scanner").values_list("contestant__number", "chosen")
    assert dict(read) == {number: says[number] for number in (101, 102)}

    page.get_by_role("link", name="Look at them").click()
    expect(page.get_by_role("heading", name="Ewes, contestant 103")).to_be_visible()
    expect(page.get_by_text("More or fewer animals are kept than should be")).to_be_visible()
    expect(page.get_by_label("Kept animals")).to_be_focused()
    assert_sound_in_every_light(page, "a keep/cull card")
    assert_sound_at_every_width(page, "a keep/cull card")
    settle(page, "Enter", "Ewes, contestant 103: 12358")
    expect(page.get_by_role("heading", name="No card waits")).to_be_visible()
    read_choice(keeping.parts.get(), keeping.contestants.get(number=102), "1248", "Bob")
    page.goto(f"/contests/{keeping.pk}/watch/doubts/")
    expect(page.locator(".doubts > li").first.get_by_alt_text("Picture of the card")).to_be_visible()


def test_where_the_scanner_reads_alone_a_sample_is_read_from_its_pictures(make_page, contest):
    Contest.objects.update(readings_per_card=1)
    cards = bare_cards(contest, printed(contest))
    page = make_page()
    bring(page, contest, scan_of(*(marked(cards[number], SAYS[number]) for number in SAYS)))
    page.goto(f"/contests/{contest.pk}/results/")
    expect(page.locator("strong").filter(has_text="Class 1: 7 cards of the sample")).to_be_visible()
    page.goto(f"/contests/{contest.pk}/scanning/sample/")
    expect(page.get_by_text("0 of 7 cards that the scanner read alone")).to_be_visible()
    assert_sound_in_every_light(page, "the sample")
    page.get_by_role("link", name="Read 7 cards").click()
    page.get_by_role("button", name="All four digits").click()
    for number, placing in SAYS.items():
        expect(page.get_by_alt_text(f"Picture of the card of {number}")).to_be_visible()
        page.keyboard.type(placing)
    expect(page.locator("[data-part=end-title]")).to_have_text("You have read all of this stack.")
    expect(page.locator("#sign")).to_have_attribute("data-waiting", "0")
    page.goto(f"/contests/{contest.pk}/scanning/sample/")
    expect(page.get_by_text("7 of 7 cards that the scanner read alone were read by a person too")).to_be_visible()
    expect(page.get_by_text("With 95 % certainty at most 0 of the others are wrong.")).to_be_visible()
