"""Keeping to an earlier timetable: who loses a place changes places with somebody near."""

from dataclasses import replace

import pytest

from reasons.planning import Room, Speaker, Task, Timing
from reasons.planning.keeping import keep_to
from reasons.planning.puzzle import Puzzle

OTHER, LATE, BEFORE = 1, 4, 12
"""Numbers: who has another class, who comes late, and who speaks when the late one has come."""


def full_rooms(last=29):
    """One room full for an hour with sets of class 1, and one that hears class 2 alone."""
    people = [Speaker(number, (2 if number == OTHER else 1,), "") for number in range(1, last + 1)]
    rooms = (Room("1", frozenset({1})), Room("2", frozenset({2})))
    earlier = {(number, 1): (540 + 2 * (number - 2), "1") for number in range(2, last + 1)}
    return Task(tuple(people), rooms, Timing(540, 2)), earlier | {(OTHER, 2): (560, "2")}


def times(task, earlier):
    puzzle = Puzzle(task)
    table = keep_to(puzzle, earlier)
    assert table is not None
    planned = puzzle.planned(table.room, table.slot)
    return {(one.number, one.class_number): (one.start, one.room) for one in planned}


def test_everybody_stays_where_nothing_has_changed():
    task, earlier = full_rooms()
    assert times(task, earlier) == earlier


@pytest.mark.parametrize(("last", "waits"), [(26, True), (27, False)])
def test_who_is_late_waits_for_a_free_place_up_to_half_an_hour(last, waits):
    task, earlier = full_rooms(last)
    late = tuple(replace(person, ready=560) if person.number == LATE else person for person in task.speakers)
    free = (560 + 30, "1")
    assert (times(replace(task, speakers=late), earlier)[LATE, 1] == free) is waits


def test_nobody_goes_into_a_place_that_is_taken():
    """The room opens a set later, so that the two before the late one follow, one of them into its place; all places
    near by are taken too."""
    task, earlier = full_rooms()
    late = tuple(replace(person, ready=560) if person.number == LATE else person for person in task.speakers)
    behind = (replace(task.rooms[0], opens=542), *task.rooms[1:])
    expected = earlier | {(2, 1): (542, "1"), (3, 1): (544, "1"), (LATE, 1): (596, "1")}
    assert times(replace(task, speakers=late, rooms=behind), earlier) == expected


def test_who_is_late_changes_places_with_the_nearest_whose_place_suits():
    task, earlier = full_rooms()
    late = tuple(replace(person, ready=560) if person.number == LATE else person for person in task.speakers)
    expected = earlier | {(LATE, 1): earlier[BEFORE, 1], (BEFORE, 1): earlier[LATE, 1]}
    assert times(replace(task, speakers=late), earlier) == expected
