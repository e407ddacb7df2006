"""Counting how far the reading is, and how long the rest takes; nothing here has a database."""

import pytest

from contest.watch.progress import (
    CardRow,
    ClassRow,
    Count,
    PeopleRow,
    count_cards,
    count_worst,
    estimate,
    group_order,
    readings_needed,
)

SENIOR, JUNIOR = 1, 2
CLASSES = [ClassRow(1, "Rams", False, frozenset({SENIOR})), ClassRow(2, "Ewes", False, frozenset({SENIOR, JUNIOR}))]
PEOPLE = [PeopleRow(SENIOR, "A", 5), PeopleRow(SENIOR, "B", 4), PeopleRow(JUNIOR, "B", 3)]


def test_what_nobody_has_read_is_missing():
    progress = count_cards(CLASSES, PEOPLE, [])
    assert progress.groups == ("A", "B")
    assert [(row.number, [(group, count.missing) for group, count in row.cells]) for row in progress.rows] == [
        (1, [("A", 5), ("B", 4)]),
        (2, [("A", 5), ("B", 7)]),
    ]
    assert progress.total == Count(due=21)


def test_every_state_is_counted_in_its_class_and_group():
    cards = [
        CardRow(2, "B", "once", False, 2),
        CardRow(2, "B", "settled", False, 1),
        CardRow(2, "B", "settled", True, 1),
        CardRow(2, "B", "doubt", False, 1),
        CardRow(2, "B", "once", True, 1),
    ]
    row = count_cards(CLASSES, PEOPLE, cards).rows[1]
    assert dict(row.cells)["B"] == Count(due=7, once=3, settled=1, doubt=1, no_card=1)
    assert (row.total.missing, row.total.done) == (6, 2)


def test_a_void_class_is_shown_and_counts_in_no_total():
    void = [CLASSES[0], CLASSES[1]._replace(void=True)]
    progress = count_cards(void, PEOPLE, [CardRow(2, "A", "once", False, 5)])
    assert progress.rows[1].total.once == 5
    assert progress.total == Count(due=9)


def test_a_contest_of_nobody_has_no_groups():
    progress = count_cards(CLASSES, [], [])
    assert (progress.groups, progress.total) == ((), Count())
    assert not progress.total.is_done


def test_groups_stand_in_the_order_people_expect():
    assert sorted(["10", "", "2", "b", "A", "Red 3"], key=group_order) == ["2", "10", "A", "b", "Red 3", ""]


def test_cards_of_somebody_who_is_not_due_leave_nothing_less_than_missing():
    assert Count(due=1, settled=2).missing == 0


def test_a_set_of_reasons_is_as_far_as_its_least_settled_score():
    states = [(7, "settled"), (7, "once"), (8, "settled"), (9, "once"), (9, "doubt")]
    assert count_worst(4, states) == Count(due=4, settled=1, once=1, doubt=1)


@pytest.mark.parametrize(
    ("per_card", "needed"),
    [(1, 4), (2, 4 * 2 + 3)],
)
def test_a_card_needs_as_many_readings_as_the_contest_asks_for(per_card, needed):
    assert readings_needed(Count(due=12, once=3, settled=4, doubt=1), per_card) == needed


@pytest.mark.parametrize(
    ("needed", "readings", "seconds", "minutes"),
    [
        (100, 50, 600, 20),
        (100, 50, 300, 10),
        (101, 50, 600, 21),  # a minute begun is a minute
        (100, 5, 3, 20),  # five readings in three seconds say no more than five in a minute
        (100, 4, 600, None),
        (100, 0, 0, None),
        (0, 0, 0, 0),
        (0, 50, 600, 0),
    ],
)
def test_the_rest_takes_as_long_as_the_present_pace_says(needed, readings, seconds, minutes):
    assert estimate(needed, readings, seconds).minutes == minutes
