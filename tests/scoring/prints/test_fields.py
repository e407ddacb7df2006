"""The field of a card that a machine reads: it lies where the reader looks for it, and nobody stumbles over it."""

import re
from dataclasses import replace

import pytest

from contest.scanning.reader import layout
from contest.scanning.reader.codes import bars_of
from contest.scanning.reader.identity import Identity, identify
from scoring.prints import imposing
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.fields import FIELDS_AT
from scoring.prints.rendering import NEW_PAGE, html_of, render_pdf
from tests.scoring.prints.papers import CODES, Pdf, demo, html, material_of, pdf

POINTS = 72 / 25.4


def with_fields(animals="1234"):
    record = demo().record
    classes = tuple(replace(judged, animals=animals, official=None, cuts=None) for judged in record.classes)
    return replace(material_of(replace(record, classes=classes, cards=(), reasons=(), marks=())), card_codes=CODES)


def areas(page, left, top):
    """What is drawn on a page, in millimetres from a field that lies there: (left, top, width, height)."""
    found = set()
    for area in page.rects:
        sides = (area["x0"], area["top"], area["x1"] - area["x0"], area["bottom"] - area["top"])
        x, y, wide, high = (side / POINTS for side in sides)
        found.add((round(x - left, 1), round(y - top, 1), round(wide, 1), round(high, 1)))
    return found


def near(wanted, found):
    return any(all(abs(one - other) <= 0.15 for one, other in zip(wanted, area, strict=True)) for area in found)


@pytest.mark.parametrize("animals", ["123", "1234", "ABXYZ", "ABUXYZ"])
@pytest.mark.parametrize(
    ("document", "lies", "more"),
    [
        ("placing-cards", "on-card", {"numbers": (101,), "classes": (1,)}),
        ("spare-cards", "below-digits", {"spares": 1, "classes": (1,)}),
    ],
)
def test_boxes_squares_and_codes_lie_where_they_are_looked_for(document, lies, more, animals):
    made = Pdf(render_pdf(html(with_fields(animals), document, Choice(**more))))
    found = areas(made.pages[0], *FIELDS_AT[lies])
    boxes = [*layout.places(len(animals)), *(box for of in layout.boxes(len(animals)) for box in of)]
    squares = [*layout.MARKS]
    if lies == "below-digits":
        boxes += [box for of in layout.digit_boxes() for box in of]
        squares.append(layout.CARD.spare_mark)
    assert [box for box in boxes if not near(box, found)] == []
    assert [at for at in squares if not near((*at, layout.MARK, layout.MARK), found)] == []
    number = 101 if document == "placing-cards" else None
    (codes,) = {tuple(CODES.written(Identity(CODES.contest, CODES.year, 1, number)))}
    side = layout.CODE / layout.MODULES
    for (left, top), code in zip(layout.CODES, codes, strict=True):
        for column, row, wide in bars_of(bytes.fromhex(code)):
            assert near((left + column * side, top + row * side, wide * side, side), found)


def test_cards_with_fields_are_laid_out_once_too():
    (made,) = imposing.impositions(*head_and_sheets(html(with_fields(), "placing-cards")))
    cards = sum(len(sheet) for sheet in made.sheets)
    assert made.html.count('class="field') == 1
    assert made.html.count('class="who') < cards / 2
    assert len({code for sheet in made.sheets for card in sheet for *_at, code in card.codes}) == 2 * cards


def test_a_last_sheet_with_empty_places_is_made_of_the_same_pieces():
    person = with_fields().present[0]
    classes = [judged.number for judged in with_fields().placed_classes if person.division in judged.divisions][:7]
    chosen = Choice(numbers=(person.number,), classes=tuple(classes))
    (made,) = imposing.impositions(*head_and_sheets(html(with_fields(), "placing-cards", chosen)))
    assert [len(sheet) for sheet in made.sheets] == [4, 3]


def head_and_sheets(page):
    head, *sheets = page.split(NEW_PAGE)
    return head, sheets


def test_every_code_says_whose_card_it_is():
    page = html(with_fields(), "placing-cards", Choice(numbers=(101, 102)))
    codes = re.findall(r'data-code="(\w+)"', page)
    said = {identify(bytes.fromhex(code), CODES.secret) for code in codes}
    assert {(one.contest, one.year, one.number) for one in said} == {(3, 2026, 101), (3, 2026, 102)}
    assert len(codes) == 2 * len(said)


@pytest.mark.parametrize("animals", ["ABCDEFG", "ABCDEFGH"])
def test_cards_of_seven_or_eight_animals_stay_plain(animals):
    page = html(with_fields(animals), "placing-cards", Choice(numbers=(101,)))
    assert "data-code" not in page
    assert 'class="boxes' in page


def test_a_contest_that_reads_its_cards_by_people_alone_prints_them_plain():
    assert "data-code" not in html(demo(), "placing-cards", Choice(numbers=(101,)))
    assert "There are no test cards" in pdf(demo(), "test-cards").text


def test_a_browser_prints_the_codes_as_pictures():
    page, *_ = html_of(DOCUMENTS["placing-cards"], with_fields(), Choice(numbers=(101,)), for_browser=True)
    assert "data-code" not in page
    assert page.count('<img src="data:image/svg+xml') == 2 * page.count('class="field')
