"""A timetable made to suit those who need more time, or a quiet room."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reasons.planning import Bound, CannotPlan, Plan, PlannedSet, Room, Speaker, Task, Timing, plan
from reasons.planning.accommodating import in_quiet_rooms, lengthened

ROOMS = (Room("1"), Room("2"))
TIMING = Timing(start=540, minutes=4, gap=8, breaks=((560, 570),))


def planned(*sets):
    return Plan(
        tuple(PlannedSet(start, room, number, 1, start + 4) for start, room, number in sets), Bound(0, 0, "nobody")
    )


def times(made):
    return [(one.start, one.end, one.room, one.number) for one in made.sets]


def test_a_longer_set_puts_off_what_follows_in_its_room_alone():
    made = lengthened(
        planned((540, "1", 101), (540, "2", 102), (544, "1", 103), (544, "2", 104)), TIMING, ROOMS, {101: 50}
    )
    assert times(made) == [(540, 546, "1", 101), (540, 544, "2", 102), (544, 548, "2", 104), (546, 550, "1", 103)]


def test_minutes_are_rounded_up_and_nobody_speaks_into_a_break():
    made = lengthened(planned((552, "1", 101), (556, "1", 102)), TIMING, ROOMS, {101: 10})
    assert times(made) == [(552, 557, "1", 101), (570, 574, "1", 102)]


def test_a_room_that_closes_too_early_is_told():
    with pytest.raises(CannotPlan, match="would end at 09:06, and its room closes before that"):
        lengthened(planned((540, "1", 101)), TIMING, (Room("1", closes=545),), {101: 50})


def test_without_anybody_who_needs_it_nothing_changes():
    made = planned((540, "1", 101))
    assert lengthened(made, TIMING, ROOMS, {109: 50}) is made
    assert in_quiet_rooms(made, ROOMS, {"2"}, {109}) is made


def test_whoever_needs_it_goes_into_the_quiet_room_and_who_was_there_into_theirs():
    made = in_quiet_rooms(planned((540, "1", 101), (540, "2", 102), (544, "1", 101)), ROOMS, {"2"}, {101})
    assert [(one.start, one.room, one.number) for one in made.sets] == [
        (540, "1", 102),
        (540, "2", 101),
        (544, "2", 101),
    ]


def test_whoever_does_not_need_it_stays_where_they_are():
    made = planned((540, "1", 101), (544, "1", 102), (548, "2", 101))
    assert times(in_quiet_rooms(made, ROOMS, {"2"}, {101})) == [
        (540, 544, "2", 101),
        (544, 548, "1", 102),
        (548, 552, "2", 101),
    ]


def test_nobody_who_needs_it_too_is_sent_out_of_it_and_no_room_hears_what_it_does_not():
    both = planned((540, "1", 101), (540, "2", 102))
    assert in_quiet_rooms(both, ROOMS, {"2"}, {101, 102}).sets == both.sets
    other = (Room("1"), Room("2", classes=frozenset({7})))
    assert in_quiet_rooms(both, other, {"2"}, {101}).sets == both.sets


@settings(max_examples=20)
@given(st.integers(2, 8), st.sets(st.integers(1, 8)), st.integers(0, 100))
def test_nobody_is_in_two_places_nor_without_the_time_between(people, longer, percent):
    task = Task(tuple(Speaker(n, (1, 2)) for n in range(1, people + 1)), ROOMS, TIMING)
    made = in_quiet_rooms(plan(task, budget_seconds=0), ROOMS, {"1"}, longer)
    made = lengthened(made, TIMING, ROOMS, dict.fromkeys(longer, percent))
    assert len(made.sets) == task.sets
    for key, gap in (("room", 0), ("number", TIMING.gap)):
        for value in {getattr(one, key) for one in made.sets}:
            own = [one for one in made.sets if getattr(one, key) == value]
            assert all(later.start >= one.end + gap for one, later in pairwise(own))
    for one in made.sets:
        assert one.end - one.start >= 4 * (1 + (percent / 100 if one.number in longer else 0))
        assert one.end <= 560 or one.start >= 570
