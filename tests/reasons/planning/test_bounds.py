"""What no timetable can beat."""

from dataclasses import replace

import pytest

from reasons.planning import CannotPlan, Plan, Room, Speaker, Timing, lower_bound, plan
from tests.reasons.planning.examples import simple_task


@pytest.mark.parametrize(
    ("people", "sets", "rooms", "gap", "keep", "slots", "because"),
    [
        (300, 4, 8, 10, False, 150, "1200 sets in 8 rooms"),
        (301, 4, 8, 10, False, 151, "1204 sets in 8 rooms"),
        (30, 3, 4, 0, True, 30, "30 sets in 1 room"),
        (1, 4, 8, 10, False, 19, "the 4 sets of contestant 101"),
        (40, 4, 8, 10, False, 23, "the sets of all the contestants"),
        (2, 4, 8, 9, False, 19, "the 4 sets of contestant 101"),  # rests are rounded up to whole slots
    ],
)
def test_the_lower_bound(people, sets, rooms, gap, keep, slots, because):
    bound = lower_bound(simple_task(people, sets, rooms, gap=gap, keep=keep))
    assert bound.slots == slots
    assert bound.ends == 540 + 2 * slots
    assert bound.because.startswith(because)


def test_a_break_counts_as_rest():
    task = simple_task(1, 2, 1, gap=10, breaks=[(542, 560)])
    assert lower_bound(task).ends == 562
    assert plan(task).ends == 562


def test_nobody_to_hear():
    bound = lower_bound(simple_task(0, 2, 1))
    assert (bound.slots, bound.ends, bound.because) == (0, 540, "nobody owes a set")


def test_a_plan_says_no_more_of_itself_than_it_is_told():
    bound = lower_bound(simple_task(1, 1, 1))
    assert (Plan((), bound).following, Plan((), bound).proved, Plan((), bound).ends) == (0, False, 542)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"rooms": (Room("1", frozenset({2})),)}, "no room hears class 1"),
        ({"rooms": (Room("1"), Room("1"))}, "room 1 is there twice"),
        ({"speakers": (Speaker(1, (1,)), Speaker(1, (1,)))}, "contestant 1 is there twice"),
        ({"speakers": (Speaker(1, (1, 1)),)}, "contestant 1: class 1 is there twice"),
        ({"rooms": ()}, "there is no room to hear anybody in"),
        (
            {"timing": Timing(540, 2, breaks=((0, 1440),))},
            "the breaks leave no time to speak between 09:00 and midnight",
        ),
    ],
)
def test_tasks_that_contradict_themselves(change, message):
    with pytest.raises(CannotPlan, match=message):
        lower_bound(replace(simple_task(1, 1, 1), **change))
