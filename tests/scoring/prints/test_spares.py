"""Spare cards and numbers: as many as are wanted, with numbers that nobody has, or blank."""

import re
from dataclasses import replace

import pytest

from contest.book.text import LARGEST_NUMBER
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.documents.spares import next_free
from tests.scoring.prints.papers import a_person, demo, empty, material_of, pdf
from tests.scoring.prints.test_stacks import cut

TAKEN = {person.number for person in demo().record.contestants}


def made(document, **choice):
    """The pieces as they come off the cutter, without their placings' names."""
    _piles, texts = cut(pdf(demo(), document, Choice(**choice)))
    assert all("Revision 7, as of April 25, 2026, 14:03:22" in text for text in texts)
    return texts


def test_spare_numbers_are_the_next_ones_that_nobody_has():
    largest = max(TAKEN)
    texts = made("spare-numbers", spares=3)
    worn = [int(re.search(r"^(\d+)$", text, re.MULTILINE).group(1)) for text in texts]
    assert worn == [largest + 1, largest + 2, largest + 3]


def test_numbers_that_somebody_has_are_left_out_also_of_those_who_did_not_come():
    people = tuple(person._replace(present=False) for person in demo().record.contestants)
    absent = material_of(replace(demo().record, contestants=people))
    first = min(TAKEN)
    build = DOCUMENTS["spare-numbers"].build(absent, Choice(spares=20, first=first - 2))
    numbers = {one["number"] for sheet in build["sheets"] for one in sheet if one}
    assert len(numbers) == 20
    assert {first - 2, first - 1} < numbers
    assert not numbers & TAKEN


def test_each_walk_up_has_a_card_of_every_class_with_their_number():
    texts = made("spare-cards", spares=2, order="number")
    cards = [tuple(map(int, re.search(r"^(\d+) (\d+)$", text, re.MULTILINE).groups())) for text in texts]
    largest = max(TAKEN)
    classes = [judged.number for judged in demo().placed_classes]
    assert cards == [(judged, number) for number in (largest + 1, largest + 2) for judged in classes]


def test_blank_cards_are_as_many_as_are_wanted_of_each_class_that_is_chosen():
    assert len(made("spare-cards", spares=5)) == 5
    of_two = made("spare-cards", spares=2, classes=(1, 3))
    assert [re.search(r"^(\d+)$", text, re.MULTILINE).group(1) for text in of_two] == ["1", "3", "1", "3"]
    assert len(made("spare-numbers", spares=3, order="blank")) == 3


@pytest.mark.parametrize(("numbers", "proposed"), [((), 101), ((7, 12), 13), ((1, LARGEST_NUMBER), 2)])
def test_the_number_after_the_largest_is_proposed(numbers, proposed):
    people = tuple(a_person(number) for number in numbers)
    assert next_free(replace(empty(), record=replace(empty().record, contestants=people))) == proposed


def test_no_number_is_larger_than_any_may_be():
    last = replace(empty(), record=replace(empty().record, contestants=(a_person(LARGEST_NUMBER - 1),)))
    built = DOCUMENTS["spare-numbers"].build(last, Choice(spares=4))
    assert [one and one["number"] for sheet in built["sheets"] for one in sheet] == [LARGEST_NUMBER, None]
