"""Planning again with few who move, step by step, from tables laid out by hand."""

import pytest

from reasons.planning import Room, Speaker, Task, Timing
from reasons.planning.few_moves import _GivenUp, _Moving, few_moves, put_back
from reasons.planning.puzzle import Puzzle
from reasons.planning.table import FREE
from tests.reasons.planning.test_mending import ONE, always, laid_out, places

TWO = (Speaker(101, (1,)), Speaker(102, (1,)))
TEAM_MATES = (Speaker(101, (1,), "a"), Speaker(102, (1,), "a"), Speaker(103, (1,), "b"))


def moving(speakers, had, slots=4, in_time=always):
    return _Moving(Puzzle(Task(speakers, ONE, Timing(540, 2))), had, slots, 0, in_time)


def test_who_goes_back_leaves_a_place_to_which_another_goes_back():
    table = laid_out(TWO, ONE, (0, 2), (0, 0))
    put_back(table, [(0, 0), (0, 1)])
    assert (places(table), table.reach) == ([(0, 0), (0, 1)], 2)


def test_nobody_goes_back_to_follow_a_team_mate():
    table = laid_out(TEAM_MATES, ONE, (0, 0), (0, 3), (0, 2))
    put_back(table, [(0, 0), (0, 1), (0, 2)])
    assert places(table) == [(0, 0), (0, 3), (0, 2)]


def test_who_has_no_place_finds_the_next_that_is_free_or_there_is_no_such_timetable():
    puzzle = Puzzle(Task(TWO, ONE, Timing(540, 2)))
    assert places(few_moves(puzzle, [(0, 0), (0, 0)], 2, 0, always)) == [(0, 0), (0, 1)]
    assert few_moves(puzzle, [(0, 0), (0, 0)], 1, 0, always) is None


def test_a_set_that_is_new_has_not_moved():
    work = moving(TWO, [(FREE, 0), (0, 0)])
    assert (work.homeless, work.homeless_before) == ([0], 0)
    work = moving(TWO, [(0, 0), (0, 0)])
    assert (work.homeless, work.homeless_before) == ([1], 1)


def test_one_of_two_team_mates_is_sent_away_and_no_more():
    work = moving(TEAM_MATES, [(0, 0), (0, 1), (0, 2)])
    assert work._may_stay_so(0) is False
    assert work._may_stay_so(1) is True
    assert work.table.following() == []


@pytest.mark.parametrize(
    ("left", "in_time", "given_up"),
    [(0, True, True), (1, True, False), (1, False, True), (2, False, False), (65, False, True)],
)
def test_it_is_given_up_when_enough_was_tried_or_the_time_is_over_which_is_asked_seldom(left, in_time, given_up):
    work = moving(TWO, [(FREE, 0), (0, 0)], in_time=lambda: in_time)
    work.left = left
    if given_up:
        with pytest.raises(_GivenUp):
            work.place([0], 0)
    else:
        assert work.place([0], 0)


def test_only_a_room_that_is_there_is_gone_back_to():
    table = laid_out(TWO, (Room("1"), Room("2")), (0, 0), (1, 0))
    put_back(table, [(0, 0), (FREE, 0)])
    assert places(table) == [(0, 0), (1, 0)]


def test_two_team_mates_alone_cannot_be_parted():
    assert moving(TEAM_MATES[:2], [(0, 0), (0, 1)])._may_stay_so(1) is False


def test_the_nearest_place_in_time_is_looked_at_first():
    assert list(moving(TWO, [(0, 2), (FREE, 0)])._places(0)) == [(0, 1), (0, 3), (0, 0)]
