"""Sheets that are cut through, and the lists that can be chosen."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.prints.choice import Choice, WrongChoice, choice_from
from scoring.prints.documents.awards import awards_of
from scoring.prints.material import AwardList
from scoring.prints.words import chosen_lists, fit, ordinal, stacked
from tests.scoring.prints.papers import demo, html


@given(st.lists(st.integers()), st.integers(1, 8))
def test_cut_stacks_put_on_each_other_are_in_order(items, at_once):
    sheets = stacked(items, at_once)
    stacks = [[sheet[place] for sheet in sheets] for place in range(at_once)]
    assert [item for stack in stacks for item in stack if item is not None] == items
    assert all(len(sheet) == at_once for sheet in sheets)


def cards_cut(order):
    page = html(demo(), "placing-cards", Choice(order=order))
    cards = re.findall(r'at-(\d)">.*?class="number">(\d+)<.*?</span> (\d+)</p>', page, re.DOTALL)
    return [(int(judged), int(number)) for place in "1234" for at, number, judged in cards if at == place]


def test_placing_cards_come_off_the_cutter_by_contestant():
    cut = cards_cut("number")
    assert [number for _, number in cut] == sorted(number for _, number in cut)
    due = {(j.number, p.number) for j in demo().placed_classes for p in demo().present if p.division in j.divisions}
    assert set(cut) == due
    assert len(cut) == len(due)


def test_placing_cards_come_off_the_cutter_by_class_and_group():
    groups = {person.number: person.group for person in demo().present}
    by_class = [(judged, groups[number], number) for judged, number in cards_cut("class")]
    assert by_class == sorted(by_class)


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
    from scoring.record import Card
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
