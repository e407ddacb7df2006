"""What hardly fits its place on paper: what people sort and read by is whole, and what is cut ends with a mark."""

import re
from dataclasses import replace

import pytest

from scoring.prints.choice import Choice
from tests.factories import ClassFactory, RecordFactory
from tests.scoring.prints.papers import demo, large, material_of, pdf


def test_a_placing_card_keeps_its_group_however_long_its_division_is():
    long_name = "Senior division of the united clubs of the upper and lower valleys"
    assert len(long_name) == 66
    record = demo().record
    divisions = tuple(replace(division, name=long_name) for division in record.divisions)
    person = record.contestants[0]
    made = pdf(material_of(replace(record, divisions=divisions)), "placing-cards", Choice(numbers=(person.number,)))
    cards = made.text.count("The best first")
    assert cards >= 4
    assert made.text.count(f"Group {person.group} · Senior division") == cards
    assert made.overlapping() == []


def test_ranks_among_many_shared_places_and_what_is_missing_stand_on_one_line():
    people = large(200).present
    made = pdf(large(200), "packets", Choice(numbers=(people[100].number,)))
    assert re.search(r"\d{2,3}(st|nd|rd|th) of 200 ", made.text)
    record = demo().record
    alike = tuple(person for person in record.contestants if person.division == "JR")
    cards = tuple(card for card in record.cards if card.class_number == 1)
    level = replace(record, contestants=alike, cards=cards, reasons=(), marks=(), individual_ties=())
    keyless = (replace(record.classes[0], cuts=(0, 0, 0)), replace(record.classes[1], official=None, cuts=None))
    material = material_of(replace(level, classes=(*keyless, *record.classes[2:])))
    lists = Choice(lists=("JR/overall",), kinds=("individuals",), places=12)
    assert "1st place, shared " in pdf(material, "ribbons", lists).text
    assert "1st place (shared) " in pdf(material, "script", lists).text
    assert "no key yet" in pdf(material, "packets", Choice(numbers=(alike[0].number,))).text


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_key_of_eight_animals_stays_within_the_margins_of_the_wall(paper):
    eight = ClassFactory(animals="12345678", official="12734658", cuts=(2, 2, 2, 4, 4, 4, 3))
    made = pdf(material_of(RecordFactory(classes=(eight,), cards=())), "keys", Choice(paper=paper))
    (page,) = made.pages
    assert "1, 2, 7, 3, 4, 6, 5, 8; cuts 2, 2, 2, 4, 4, 4, 3" in made.text
    assert max(char["x1"] for char in page.chars) <= page.width - 15 / 25.4 * 72 + 0.5
