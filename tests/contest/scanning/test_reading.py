"""Cards read off pictures: a small seeded sample of what `tests/bench/bench_scanning.py` does at length."""

import random

import pytest
from PIL import Image

from contest.scanning.reader import Trouble
from contest.scanning.reader.reading import read_page
from tests.contest.scanning.pens import SECRET, WRONGS, Hand, animals_of, blank, filled
from tests.contest.scanning.scanners import dog_eared, ringed, seen, smudged

CLEAR = {"pen": "ballpoint", "mark": "cross", "steady": 0.5}


def marked(seed, wrong="", **hand):
    dice = random.Random(seed)
    card = blank(dice)
    filled(card, Hand(dice, **(CLEAR | hand)), wrong)
    return card, dice


def read(picture):
    (found,) = read_page(picture, SECRET, animals_of)
    return found


@pytest.mark.parametrize("pen", ["ballpoint", "gel", "marker", "pencil"])
@pytest.mark.parametrize("mark", ["cross", "tick", "fill", "slash"])
def test_a_card_is_read_whatever_it_is_marked_with(pen, mark):
    card, dice = marked(f"{pen} {mark}", pen=pen, mark=mark)
    found = read(seen(card, dice, 200, "scanner"))
    assert (found.identity, found.placing, found.number_marked) == (card.identity, card.placing, card.number)
    assert found.certain
    assert found.confidence > 0.5
    assert len(found.picture) <= 40_000
    assert len(found.fills) == len(card.placing)


@pytest.mark.parametrize("wrong", WRONGS)
def test_what_a_person_has_to_decide_is_never_certain(wrong):
    for seed in range(3):
        card, dice = marked(f"{wrong} {seed}", wrong, pen="gel")
        found = read(seen(card, dice, 150, "phone" if seed else "scanner"))
        assert found.troubles
        assert not found.certain
        assert found.placing == ""
        assert found.confidence < 0.5


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("pen", ["ballpoint", "pencil"])
def test_what_was_erased_well_is_not_taken_for_a_mark(pen, seed):
    card, dice = marked(f"erased {pen} {seed}", "erased", pen=pen)
    found = read(seen(card, dice, 200, "scanner"))
    assert (found.placing, found.troubles) == (card.placing, ())


@pytest.mark.parametrize("seed", range(4))
def test_a_pencil_that_is_hardly_seen_is_read_where_all_marks_are_alike(seed):
    card, dice = marked(f"pale {seed}", pen="pale pencil")
    found = read(seen(card, dice, 200, "scanner"))
    assert (found.placing, found.troubles) == (card.placing, ())


@pytest.mark.parametrize("seed", range(4))
def test_a_stain_that_reaches_beyond_the_boxes_is_no_mark(seed):
    card, dice = marked(f"stained {seed}")
    smudged(card, dice)
    found = read(seen(card, dice, 200, "scanner"))
    assert (found.placing, found.troubles) == (card.placing, ())


@pytest.mark.parametrize("seed", range(6))
def test_a_second_pale_mark_is_seen_on_a_copy_that_washes_it_out(seed):
    card, dice = marked(f"washed out {seed}", "two marks, one light")
    assert not read(seen(card, dice, 200, "copier")).certain


@pytest.mark.parametrize(("by", "washed_out"), [("copier", True), ("scanner", False)])
def test_a_machine_that_makes_all_paper_white_is_known(by, washed_out):
    card, dice = marked("white")
    assert read(seen(card, dice, 200, by)).washed_out == washed_out


@pytest.mark.parametrize("seed", range(14))
def test_nothing_is_misread_whatever_happens_to_it(seed):
    dice = random.Random(f"spoilt {seed}")
    card = filled(blank(dice), Hand(dice), dice.choice(["", "erased", "erased badly", *WRONGS[:4]]))
    for spoil in dice.sample([smudged, ringed, dog_eared], 2):
        spoil(card, dice)
    for found in read_page(seen(card, dice, dice.choice([100, 150, 200])), SECRET, animals_of):
        if found.certain:
            assert (found.identity, found.placing, found.number_marked) == (card.identity, card.placing, card.number)


def page_of(cards):
    page = Image.new("L", (2 * cards[0].picture.width, 2 * cards[0].picture.height), 255)
    for at, card in enumerate(cards):
        page.paste(card.picture, (at % 2 * page.width // 2, at // 2 * page.height // 2))
    return page.resize((page.width * 2 // 3, page.height * 2 // 3), Image.Resampling.BOX)


def test_several_cards_a_page_are_read_whichever_way_it_lies():
    dice = random.Random("a page")
    cards = [filled(card, Hand(dice, **CLEAR)) for card in (blank(dice) for _place in range(4))]
    page = page_of(cards)
    said = sorted((card.identity, card.placing) for card in cards if card.identity.number)
    for quarter in (0, 1, 2):
        found = read_page(page.rotate(90 * quarter, expand=True), SECRET, animals_of)
        assert len(found) == 4
        assert sorted((one.identity, one.placing) for one in found if one.identity.number) == said


def test_a_card_of_another_contest_is_told_apart_and_not_read():
    card, dice = marked("another")
    (found,) = read_page(seen(card, dice, 200, "scanner"), b"the secret of another contest...", animals_of)
    assert found.troubles[0] == Trouble.OTHER_CONTEST
    assert (found.identity, found.placing, found.certain) == (None, "", False)


def test_a_card_of_a_class_that_the_contest_does_not_have_goes_to_a_person():
    card, dice = marked("no class")
    (found,) = read_page(seen(card, dice, 200, "scanner"), SECRET, lambda identity: "")
    assert Trouble.UNKNOWN_CLASS in found.troubles
    assert found.identity == card.identity


def scribbled(card, *corners):
    """Ink over one or both of a card's codes."""
    from contest.scanning.reader import layout

    dice = random.Random("scribbles")
    for place in corners:
        left, top = layout.CODES[place]
        Hand(dice, pen="marker", mark="fill").marks(
            card, layout.Box(left + 1, top + 1, layout.CODE - 2, layout.CODE - 2)
        )


def test_one_code_is_enough():
    card, dice = marked("one code")
    scribbled(card, 0)
    found = read(seen(card, dice, 200, "scanner"))
    assert (found.identity, found.placing) == (card.identity, card.placing)


def test_a_page_without_cards_has_none():
    assert read_page(Image.new("RGB", (800, 1000), "white"), SECRET, animals_of) == []


def test_a_card_that_is_cut_off_goes_to_a_person():
    whole = marked("cut")[0].picture
    found = read_page(whole.crop((round(whole.width * 0.16), 0, whole.width, whole.height)), SECRET, animals_of)
    assert [one.certain for one in found] == [False]
