"""Sheets that are cut through, and the lists that can be chosen."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.prints.choice import Choice, WrongChoice, choice_from
from scoring.prints.documents.awards import awards_of
from scoring.prints.material import AwardList
from scoring.prints.words import chosen_lists, fit, ordinal, stacked
from tests.scoring.prints.papers import demo, pdf


@given(st.lists(st.integers()), st.integers(1, 8))
def test_cut_stacks_put_on_each_other_are_in_order(items, at_once):
    sheets = stacked(items, at_once)
    stacks = [[sheet[place] for sheet in sheets] for place in range(at_once)]
    assert [item for stack in stacks for item in stack if item is not None] == items
    assert all(len(sheet) == at_once for sheet in sheets)


SOME = (1, 10)


def cut(made):
    """The pieces of sheets that are cut through together at their marks, the piles put on each other: text by piece."""
    page = made.pages[0]
    thin = [rect for rect in page.rects if min(rect["width"], rect["height"]) < 1]
    across = sorted({round(rect["top"]) for rect in thin if rect["width"] > 5 and rect["x0"] < 1})
    down = sorted({round(rect["x0"]) for rect in thin if rect["height"] > 5 and rect["top"] < 1})
    rows = [0, *across, float(page.height)]
    columns = [0, *down, float(page.width)]
    piles = [
        [sheet.crop((left, top, right, bottom)).extract_text(x_tolerance=1.5) for sheet in made.pages]
        for top, bottom in pairwise(rows)
        for left, right in pairwise(columns)
    ]
    return len(piles), [text for pile in piles for text in pile if text]


def cards_cut(order, paper="a4"):
    """Class and number of each placing card, and where its sheet says it belongs."""
    piles, texts = cut(pdf(demo(), "placing-cards", Choice(order=order, paper=paper, classes=SOME)))
    assert piles == 4
    found = []
    for text in texts:
        judged, number = re.search(r"^(\d+) (\d+)$", text, re.MULTILINE).groups()
        at, of = re.search(r"Card (\d+) of (\d+)", text).groups()
        assert int(of) == len(texts)
        found.append((int(judged), int(number), int(at)))
    assert [at for *_, at in found] == list(range(1, len(found) + 1))
    return [(judged, number) for judged, number, _ in found]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_placing_cards_come_off_the_cutter_by_contestant(paper):
    cards = cards_cut("number", paper)
    assert [number for _, number in cards] == sorted(number for _, number in cards)
    due = {
        (judged.number, person.number)
        for judged in demo().placed_classes
        for person in demo().present
        if judged.number in SOME and person.division in judged.divisions
    }
    assert set(cards) == due
    assert len(cards) == len(due)


def test_placing_cards_come_off_the_cutter_by_class_and_group():
    groups = {person.number: person.group for person in demo().present}
    by_class = [(judged, groups[number], number) for judged, number in cards_cut("class")]
    assert by_class == sorted(by_class)


@pytest.mark.parametrize("order", ["team", "group"])
def test_placing_cards_come_off_the_cutter_by_team_or_group(order):
    kept = {person.number: getattr(person, order) for person in demo().present}
    cards = [(kept[number] == "", kept[number], number) for _, number in cards_cut(order)]
    assert cards == sorted(cards)


def test_numbers_to_wear_come_off_the_cutter_in_order():
    piles, texts = cut(pdf(demo(), "numbers", Choice()))
    worn = [int(re.search(r"^(\d+)$", text, re.MULTILINE).group(1)) for text in texts]
    assert piles == 2
    assert worn == sorted(person.number for person in demo().present)


def test_key_forms_come_off_the_cutter_by_class():
    piles, texts = cut(pdf(demo(), "key-forms", Choice()))
    classes = [int(re.search(r"^Class (\d+):", text, re.MULTILINE).group(1)) for text in texts]
    assert piles == 2
    assert classes == [judged.number for judged in demo().placed_classes]


def test_score_slips_come_off_the_cutter_as_they_are_heard():
    piles, texts = cut(pdf(demo(), "score-slips", Choice()))
    assert piles == 8
    heard = [int(re.search(r"^(\d+)$", text, re.MULTILINE).group(1)) for text in texts]
    assert heard == [slot.number for room in demo().rooms for slot in room.slots]


def test_ordinals():
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 22, 101, 111)] == [
        *("1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "101st", "111th")
    ]


def test_a_text_is_set_the_smaller_the_longer_it_is():
    assert [fit("x" * n, (2, 4)) for n in (1, 2, 3, 4, 5)] == [0, 0, 1, 1, 2]


def test_a_list_that_the_contest_does_not_have_is_refused_with_those_it_has():
    with pytest.raises(WrongChoice, match=r"no list SR/nothing; this contest has JR/overall"):
        chosen_lists(demo(), Choice(lists=("SR/nothing",)))


def test_awards_follow_the_contests_own_order_of_lists():
    from dataclasses import replace

    lists = (AwardList("SR", "overall", "teams", 2), AwardList("JR", "overall", "individuals", 3))
    material = replace(demo(), award_lists=lists)
    assert [(a.title, a.kind, len(a.winners)) for a in awards_of(material, Choice())] == [
        ("Senior – Overall", "teams", 2),
        ("Junior – Overall", "individuals", 3),
    ]
    chosen = awards_of(material, Choice(lists=("IN/overall",), kinds=("individuals",), places=1))
    assert [award.title for award in chosen] == ["Intermediate – Overall"]


def test_everybody_who_shares_the_last_place_has_it():
    from scoring.core.record import Card
    from tests.factories import RecordFactory
    from tests.scoring.prints.papers import a_person, material_of

    people = tuple(a_person(number) for number in (1, 2, 3))
    record = RecordFactory(contestants=people, cards=tuple(Card(1, n, "3124") for n in (1, 2, 3)))
    award = awards_of(material_of(record), Choice(lists=("SR/overall",), places=1))[0]
    assert [(winner.rank, winner.shared) for winner in award.winners] == [(1, True)] * 3


@given(
    st.builds(
        Choice,
        paper=st.sampled_from(["a4", "letter"]),
        lists=st.lists(st.text()).map(tuple),
        numbers=st.lists(st.integers(1)).map(tuple),
        copies=st.integers(1, 9),
        address=st.text(),
    )
)
def test_a_choice_survives_json(choice):
    import json

    assert choice_from(json.loads(json.dumps(choice.as_json()))) == choice
