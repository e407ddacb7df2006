"""Cards by scanner, from the print shop on: printed, marked, brought as a PDF, and settled by the keyboard."""

from io import BytesIO

import pypdfium2
import pytest
from PIL import ImageDraw
from playwright.sync_api import expect

from contest.models import Reading, Scan
from contest.scanning.reader import layout
from contest.scanning.reader.reading import read_page
from contest.scanning.rules import change_rules
from contest.scanning.whose import secret_of
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of, render_pdf
from tests.browser.soundness import assert_sound_in_every_light
from tests.factories import RulesFactory, a_contest, people

DPI = 150
ANIMALS = "1234"


@pytest.fixture
def contest(transactional_db):
    made = a_contest(rules=RulesFactory(readings_per_card=1), contestants=people(6), cards=())
    change_rules(made, "Sue", on=True)
    return made


def printed(contest):
    """The pages of the placing cards, as a renderer draws them."""
    document = DOCUMENTS["placing-cards"]
    html, *_ = html_of(document, gather_material(contest.pk, document), Choice(paper="a4"))
    pdf = pypdfium2.PdfDocument(render_pdf(html))
    try:
        return [page.render(scale=DPI / 72).to_pil().convert("L") for page in pdf]
    finally:
        pdf.close()


def mark(page, card, place, animal, ink=40, width=4):
    """A cross in one box; the field lies straight on the page."""
    left, top = card.corners[0]
    millimetre = (card.corners[1][0] - left) / layout.WIDTH
    box = layout.boxes(len(ANIMALS))[place][ANIMALS.index(animal)]
    x, y = left + box.left * millimetre, top + box.top * millimetre
    right, low = x + box.width * millimetre, y + box.height * millimetre
    for line in ((x + 6, y + 4, right - 6, low - 4), (x + 6, low - 4, right - 6, y + 4)):
        ImageDraw.Draw(page).line(line, fill=ink, width=width)


def scanned(contest):
    """All cards marked alike with a pen, but that 103 has a second, thinner mark in the first place, as one PDF."""
    pages, found = printed(contest), set()
    for page in pages:
        for card in read_page(page, secret_of(contest), lambda identity: ANIMALS):
            found.add(card.identity.number)
            for place, animal in enumerate("3124"):
                mark(page, card, place, animal)
            if card.identity.number == 103:
                mark(page, card, 0, "4", ink=90, width=2)
    assert found == {101, 102, 103, 104, 105, 106}
    pdf = BytesIO()
    pages[0].save(pdf, "PDF", resolution=DPI, save_all=True, append_images=pages[1:])
    return {"name": "cards.pdf", "mimeType": "application/pdf", "buffer": pdf.getvalue()}


def test_cards_are_printed_marked_scanned_and_settled(make_page, contest):
    page = make_page()
    page.goto(f"/contests/{contest.pk}/scanning/")
    assert_sound_in_every_light(page, "before")
    page.get_by_label("A PDF from a scanner").set_input_files(scanned(contest))
    page.get_by_role("button", name="Read these pages").click()
    expect(page.get_by_text("1 card waits for a person.")).to_be_visible(timeout=60_000)
    expect(page.get_by_text("page read").or_(page.get_by_text("pages read")).first).to_be_visible(timeout=60_000)
    assert Scan.objects.get().state == "done"
    assert set(Reading.objects.values_list("placing", "by", "source")) == {("3124", "scanner", "scanner")}
    page.get_by_role("link", name="Look at them").click()
    expect(page.get_by_role("heading", name="Class 1, contestant 103")).to_be_visible()
    picture = page.locator(".scanned-card img")
    assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") > 100
    assert_sound_in_every_light(page, "a card")
    page.keyboard.press("Enter")  # what the scanner thinks
    expect(page.get_by_text("Class 1, contestant 103: 3124")).to_be_visible()
    expect(page.get_by_role("heading", name="No card waits")).to_be_visible()
    assert Reading.objects.get(number=103).source == "paper"
    page.goto(f"/contests/{contest.pk}/scanning/sample/")
    expect(page.get_by_text("0 of 5 cards that the scanner read alone")).to_be_visible()
    assert_sound_in_every_light(page, "the sample")
    page.get_by_role("link", name="Read 5 cards").click()
    expect(page.get_by_text("cards to read once more")).to_be_visible()
