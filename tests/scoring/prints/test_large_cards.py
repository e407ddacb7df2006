"""Placing cards in large print."""

import re

from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.preview import to_look_at
from tests.scoring.prints.papers import demo, large, pdf
from tests.scoring.prints.test_stacks import cut

LARGE_CARDS = DOCUMENTS["large-cards"]


def test_whoever_is_chosen_has_a_card_of_every_class_they_judge_in_large_print():
    person = demo().present[0]
    made = pdf(demo(), "large-cards", Choice(numbers=(person.number,), paper="letter"))
    piles, texts = cut(made)
    cards = [tuple(map(int, re.search(r"^(\d+) (\d+)$", text, re.MULTILINE).groups())) for text in texts]
    assert piles == 2
    judges = [judged.number for judged in demo().placed_classes if person.division in judged.divisions]
    assert cards == [(judged, person.number) for judged in judges]
    assert min(char["size"] for page in made.pages for char in page.chars) >= 17.99
    for text in texts:
        assert f"Group {person.group} · {demo().division_names[person.division]}" in text
        assert "Revision 7, as of April 25, 2026, 14:03:22" in text


def test_for_nobody_in_particular_there_is_one_of_each_class_without_a_number():
    texts = cut(pdf(demo(), "large-cards"))[1]
    classes = [int(re.search(r"^(\d+)$", text, re.MULTILINE).group(1)) for text in texts]
    assert classes == [judged.number for judged in demo().placed_classes]
    assert not any(str(person.number) in " ".join(texts).split() for person in demo().present)


def test_a_look_at_blank_ones_shows_blank_ones():
    assert to_look_at(LARGE_CARDS, large(), Choice())[1:] == (Choice(), "")
    numbers = tuple(person.number for person in large().present[:9])
    assert len(to_look_at(LARGE_CARDS, large(), Choice(numbers=numbers))[1].numbers) == 6
