"""Dealing sets and classes out to rooms, in cases small enough to deal by hand."""

import pytest

from reasons.planning import Room, Speaker, Task, Timing, keep_classes
from reasons.planning.building import _Building, _deal_out, coloured, in_fewer_rooms
from reasons.planning.puzzle import Puzzle


def puzzle(owed, *hears, gap=0):
    rooms = (Room(str(place), frozenset(classes)) for place, classes in enumerate(hears))
    return Puzzle(
        Task(
            tuple(Speaker(101 + place, (number,)) for place, number in enumerate(owed)),
            tuple(rooms),
            Timing(540, 2, gap),
        )
    )


@pytest.mark.parametrize(
    ("owed", "hears", "dealt"),
    [
        ([2, 2, 2], [{2}, {2}], [0, 1, 0]),
        ([2, 1], [{1, 2}, {2}], [1, 0]),  # the first room passes its set on for one that it alone hears
        ([2, 3, 1], [{1, 2}, {2, 3}, {3}], [1, 2, 0]),  # and so does the second for that
        ([2, 2, 1], [{1, 2}, {2}], [0, 1, 0]),  # nobody gains by passing on
        ([1, 2, 2, 2], [{1}, {1, 2}], [0, 1, 1, 1]),
        ([2, 2, 2, 1], [{1, 2}, {2}], [1, 1, 0, 0]),  # what came first is passed on
        ([2, 1, 1], [{1, 2}, {2}, {2}], [1, 0, 0]),  # and only once: the third room stays empty
    ],
)
def test_each_set_goes_to_the_least_full_room_that_can_be_reached(owed, hears, dealt):
    assert _deal_out(puzzle(owed, *hears)) == dealt


def test_a_timetable_is_coloured_where_nobody_rests():
    assert coloured(puzzle([1, 1, 1], {1}, {1})).length == 2
    assert coloured(puzzle([1, 1], {1}, gap=2)) is None


@pytest.mark.parametrize(
    "task",
    [
        Task((Speaker(101, (1,)), Speaker(102, (1,), ready=541)), (Room("1"),), Timing(540, 2)),
        Task((Speaker(101, (1,)),), (Room("1"), Room("2", opens=541)), Timing(540, 2)),
        Task((Speaker(101, (1,)), Speaker(102, (1,), busy=((541, 543),))), (Room("1"),), Timing(540, 2)),
        Task((Speaker(101, (1,)),), (Room("1"), Room("2", busy=((541, 543),))), Timing(540, 2)),
        Task((Speaker(101, (1,)),), (Room("1"), Room("2", closes=544)), Timing(540, 2)),
    ],
)
def test_nothing_is_coloured_where_hours_are_in_the_way(task):
    assert coloured(Puzzle(task)) is None


def test_each_number_of_rooms_that_may_leave_others_empty_is_tried_once():
    """Five sets in six rooms: one after the other in one room, at most three or two in each, or all at once in five."""
    tables = list(in_fewer_rooms(puzzle([1] * 5, *[{1}] * 6), 6))
    assert [(len(set(table.room)), table.length) for table in tables] == [(1, 5), (2, 3), (3, 2), (5, 1)]


def test_room_is_made_for_another_where_that_can_be():
    """101 speaks in the first room; for 102, who can only speak there, 101 goes to the second; 103 finds none."""
    work = _Building(puzzle([2, 1, 1], {1, 2}, {2}), None, True)
    heard = {}
    assert work._augment(0, [0, 1], heard, set())
    assert (work._augment(1, [0, 1], heard, set()), heard) == (True, {0: 1, 1: 0})
    assert (work._augment(2, [0, 1], heard, set()), heard) == (False, {0: 1, 1: 0})


@pytest.mark.parametrize(
    ("loads", "rooms", "kept"),
    [
        ({}, 2, [set(), set()]),
        ({1: 10, 2: 10}, 2, [{1}, {2}]),
        ({1: 10, 2: 30, 3: 20}, 2, [{2}, {1, 3}]),  # the largest first, each where least is heard
        ({1: 10, 2: 30}, 3, [{1}, {2}, {2}]),  # the fullest class gets another room
        ({1: 10, 2: 30}, 4, [{1}, {2}, {2}, {2}]),
        ({1: 3, 2: 3}, 3, [{1}, {1}, {2}]),
    ],
)
def test_classes_keep_to_their_rooms(loads, rooms, kept):
    assert keep_classes(loads, rooms) == kept
