"""Covers for stacks: each says what lies in its stack, and they come off the cutter in order."""

import re
from dataclasses import replace

from scoring.prints.choice import Choice
from scoring.prints.documents.covers import stacks_of
from tests.scoring.prints.papers import demo, material_of, pdf
from tests.scoring.prints.test_stacks import cut

SOME = (1, 7)


def covers(material, choice):
    """Class, group, how many are due and their numbers, cover by cover as they come off the cutter."""
    piles, texts = cut(pdf(material, "stack-covers", choice))
    assert piles == 2
    found = []
    for at, text in enumerate(texts, start=1):
        assert f"Cover {at} of {len(texts)}" in text
        assert "Revision 7, as of April 25, 2026, 14:03:22" in text
        assert "Read first" in text and "Read second" in text
        judged, group = re.search(r"^(\d+) (.+)$", text, re.MULTILINE).groups()
        below = text[text.index(" due") : text.index("By From")]
        due = int(re.search(r"(\d+) cards? due", text).group(1))
        numbers = [int(number) for number in re.findall(r"^[\d ]+$", below, re.MULTILINE) for number in number.split()]
        found.append((int(judged), group, due, numbers))
    return found


def test_there_is_one_for_each_class_and_group_with_the_numbers_that_are_due():
    made = covers(demo(), Choice(classes=SOME))
    expected = []
    for judged in demo().placed_classes:
        people = [person for person in demo().present if person.division in judged.divisions]
        for group in sorted({person.group for person in people}):
            numbers = [person.number for person in people if person.group == group]
            if judged.number in SOME:
                expected.append((judged.number, group, len(numbers), numbers))
    assert made == expected


def test_they_come_by_class_or_by_group():
    by_class = [(judged.number, group) for judged, group, _ in stacks_of(demo(), Choice(classes=SOME))]
    by_group = [(judged.number, group) for judged, group, _ in stacks_of(demo(), Choice(classes=SOME, order="group"))]
    assert by_class == sorted(by_class)
    assert by_group == sorted(by_class, key=lambda stack: (stack[1], stack[0]))


def test_a_stack_of_more_numbers_than_a_cover_holds_has_several():
    first = demo().record.contestants[0]
    people = tuple(first._replace(number=number, group="A", present=True) for number in range(1001, 1131))
    material = material_of(replace(demo().record, contestants=people, cards=(), reasons=(), marks=()))
    judged = next(judged.number for judged in material.placed_classes if first.division in judged.divisions)
    made = covers(material, Choice(classes=(judged,), paper="letter"))
    assert [due for _, _, due, _ in made] == [130] * 3
    assert [number for *_, numbers in made for number in numbers] == list(range(1001, 1131))
    text = pdf(material, "stack-covers", Choice(classes=(judged,), paper="letter"))
    assert "(cover 2 of 3)" in text.text
    assert text.overlapping() == []
