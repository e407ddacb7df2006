"""What hardly fits its place on paper: what people sort and read by is whole, and what is cut ends with a mark."""

from dataclasses import replace

from scoring.prints.choice import Choice
from tests.scoring.prints.papers import demo, material_of, pdf


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
