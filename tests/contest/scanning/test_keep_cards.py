"""Keep/cull cards read off pictures, and the field that they are read by."""

import random

import pytest
from django.utils import translation

from contest.scanning.guessing import thought
from contest.scanning.reader import Trouble, layout
from contest.scanning.reader.reading import read_page
from scoring.prints.fields import FIELDS_AT
from tests.contest.scanning.keepers import ERASED, PARTS, WRONGS, animals_of, blank, filled, keep_of, printed
from tests.contest.scanning.pens import SECRET, Hand
from tests.contest.scanning.scanners import seen
from tests.scoring.prints.papers import Pdf
from tests.scoring.prints.test_fields import POINTS, areas, near

CLEAR = {"pen": "ballpoint", "mark": "cross", "steady": 0.5}


def marked(seed, wrong="", **hand):
    dice = random.Random(seed)
    card = blank(dice)
    filled(card, Hand(dice, **(CLEAR | hand)), wrong)
    return card, dice


def read(picture):
    (found,) = read_page(picture, SECRET, animals_of, keep_of)
    return found


def test_boxes_and_squares_lie_where_they_are_looked_for():
    sheet, *_ = Pdf(printed(numbers=(101,))).pages
    wide, high = float(sheet.width) / POINTS / 2, float(sheet.height) / POINTS / 2
    left, top = FIELDS_AT["on-card"]
    for (animals, _keep), (across, down) in zip(PARTS.values(), ((0, 0), (wide, 0), (0, high)), strict=True):
        found = areas(sheet, across + left, down + top)
        boxes = [box for of in layout.kept_boxes(len(animals)) for box in of]
        assert [box for box in boxes if not near(box, found)] == []
        assert [at for at in layout.MARKS if not near((*at, layout.MARK, layout.MARK), found)] == []


def test_what_a_row_says_ends_before_its_first_box_in_spanish_too():
    with translation.override("es"):
        (words,) = Pdf(printed(numbers=(101,))).words
    said = [word for word in words if word["text"] in ("Conservar", "Descartar") and word["x0"] < 15 * POINTS]
    rows = [word for word in said if word["top"] / POINTS % (297 / 2) > FIELDS_AT["on-card"][1]]
    assert len(rows) == 2 * 2  # of the two cards at the left
    assert max(word["x1"] for word in rows) / POINTS < FIELDS_AT["on-card"][0] + layout.kept_boxes(10)[0][0].left


@pytest.mark.parametrize("pen", ["ballpoint", "gel", "marker", "pencil"])
@pytest.mark.parametrize("mark", ["cross", "tick", "fill", "slash"])
def test_what_is_kept_is_read_whatever_it_is_marked_with(pen, mark):
    card, dice = marked(f"{pen} {mark}", pen=pen, mark=mark)
    found = read(seen(card, dice, 200, "scanner"))
    assert (found.identity, found.placing, found.troubles) == (card.identity, card.placing, ())
    assert found.certain


@pytest.mark.parametrize("wrong", WRONGS)
def test_what_a_person_has_to_decide_is_never_certain(wrong):
    for seed in range(4):
        card, dice = marked(f"{wrong} {seed}", wrong, pen="gel")
        found = read(seen(card, dice, 150, "phone" if seed % 2 else "scanner"))
        assert found.troubles
        assert not found.certain
        assert found.placing == ""
        assert found.confidence < 0.5


@pytest.mark.parametrize(
    ("wrong", "trouble"),
    [
        ("both", Trouble.KEPT_AND_CULLED),
        ("one unmarked", Trouble.NEITHER),
        ("too many", Trouble.WRONG_COUNT),
        ("too few", Trouble.WRONG_COUNT),
        ("blank", Trouble.BLANK),
    ],
)
def test_what_is_the_matter_is_told_apart(wrong, trouble):
    card, dice = marked(f"told {wrong}", wrong)
    assert read(seen(card, dice, 200, "scanner")).troubles == (trouble,)


@pytest.mark.parametrize("seed", range(3))
def test_what_was_erased_well_is_not_taken_for_a_mark(seed):
    card, dice = marked(f"erased {seed}", ERASED, pen="pencil")
    found = read(seen(card, dice, 200, "scanner"))
    assert (found.placing, found.troubles) == (card.placing, ())


def test_of_a_wrong_count_what_stands_there_is_offered_and_of_an_animal_without_a_mark_nothing():
    card, dice = marked("offered", "too many")
    found = read(seen(card, dice, 200, "scanner"))
    assert len(thought(found, card.animals)) == keep_of(card.identity) + 1
    card, dice = marked("not offered", "one unmarked")
    assert thought(read(seen(card, dice, 200, "scanner")), card.animals) == ""


def test_a_card_of_a_part_that_the_contest_does_not_have_is_a_persons():
    card, dice = marked("another part")
    (found,) = read_page(seen(card, dice, 200, "scanner"), SECRET, animals_of)
    assert (found.certain, found.troubles) == (False, (Trouble.UNKNOWN_CLASS,))
