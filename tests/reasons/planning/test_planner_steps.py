"""The steps of planning, one at a time: what is shown, what is taken back, and what is not gone into."""

from random import Random

import pytest

from reasons.planning import Plan, Room, Speaker, Task, Timing, around, planner
from reasons.planning.bounds import bound_of
from reasons.planning.building import build
from reasons.planning.keeping import _change_places, _take_free
from reasons.planning.puzzle import Puzzle
from reasons.planning.table import Table
from tests.reasons.planning.examples import simple_task
from tests.reasons.planning.test_mending import ONE, always, laid_out, places

TEAM_MATES = (Speaker(101, (1,), "a"), Speaker(102, (1,), "a"))


def planning(table, shown):
    work = planner._Planning(table.puzzle, bound_of(table.puzzle), Random(0), always, shown.append)
    work.best = table
    return work


def test_the_best_is_shown_again_once_it_was_mended_and_only_then():
    shown = []
    speakers = (*TEAM_MATES, Speaker(103, (1,), "b"), Speaker(104, (1,), "b"))
    work = planning(laid_out(speakers, ONE, (0, 0), (0, 1), (0, 2), (0, 3)), shown)
    work.mend_best()
    assert [plan.following for plan in shown] == [0]
    assert shown == [work.plan()]
    work.mend_best()
    assert len(shown) == 1


def test_what_mending_an_earlier_timetable_has_not_bettered_is_taken_back(monkeypatch):
    """Two of one team are all there are, so that they follow one another whatever is tried."""
    puzzle = Puzzle(Task(TEAM_MATES, ONE, Timing(540, 2)))
    table = laid_out(TEAM_MATES, ONE, (0, 0), (0, 1))
    earlier = Plan(puzzle.planned(table.room, table.slot), bound_of(puzzle))
    tried = []

    def spoil(table, shortest, random, in_time):
        tried.append(random)
        table.take(1)
        table.put(1, 0, 5)

    monkeypatch.setattr(planner, "mend", spoil)
    monkeypatch.setattr(planner._Planning, "reached", False)
    assert planner.plan(puzzle.task, previous=earlier).sets == earlier.sets
    assert len(tried) == planner.ROUNDS


def test_an_earlier_timetable_is_shown_as_it_is_and_once_it_was_mended():
    speakers = (*TEAM_MATES, Speaker(103, (1,), "b"), Speaker(104, (1,), "b"))
    table, shown = laid_out(speakers, ONE, (0, 0), (0, 1), (0, 2), (0, 3)), []
    earlier = Plan(table.puzzle.planned(table.room, table.slot), bound_of(table.puzzle))
    work = planning(table, shown)
    work.move_few = lambda had: None
    work.after(earlier)
    assert [plan.following for plan in shown] == [2, 0]


def test_where_nothing_can_be_kept_it_is_planned_from_nothing(monkeypatch):
    task = simple_task(4, 1, 1)
    made = planner.plan(task)
    monkeypatch.setattr(planner, "keep_to", lambda puzzle, earlier: None)
    assert planner.plan(task, previous=made).sets == made.sets


@pytest.mark.parametrize(("people", "small"), [(40, True), (41, False)])
def test_up_to_forty_sets_are_searched_through(people, small):
    table = build(Puzzle(simple_task(people, 1, 1)))
    assert planning(table, []).is_small is small


class TestGivingAPlace:
    """101 has no place yet; 102 has the only slot in which 101's room hears anybody."""

    SPEAKERS = (Speaker(101, (1,)), Speaker(102, (1,)))
    ROOMS = (Room("1", closes=542), Room("2", frozenset({2})))

    def table(self, *rooms):
        table = Table(Puzzle(Task(self.SPEAKERS, rooms, Timing(540, 2))))
        table.put(1, 0, 0)
        return table

    def test_none_is_taken_where_none_is_free(self):
        table = self.table(*self.ROOMS)
        assert _take_free(table, 0, range(3), 0) is False
        assert table.slot == [-1, 0]

    def test_nobody_changes_places_who_is_not_heard_in_the_free_one(self):
        table = self.table(*self.ROOMS)
        assert _change_places(table, 0, 0, (1, 0)) is False
        assert table.slot == [-1, 0]

    def test_who_is_heard_there_goes_to_the_free_one(self):
        table = self.table(self.ROOMS[0], Room("2"))
        assert _change_places(table, 0, 0, (1, 0)) is True
        assert places(table) == [(0, 0), (1, 0)]

    def test_who_has_another_set_nearer_changes_places_with_somebody_else(self):
        speakers = (Speaker(101, (1, 2)), Speaker(102, (1,)))
        table = Table(Puzzle(Task(speakers, (Room("1"), Room("2")), Timing(540, 2))))
        table.put(1, 1, 0)
        table.put(2, 0, 1)
        assert _change_places(table, 0, 0, (1, 3)) is True
        assert places(table) == [(0, 1), (1, 0), (1, 3)]


def test_the_end_of_the_time_is_no_part_of_it(monkeypatch):
    """The clock stands still at the very end: nothing is asked for that would take time."""
    monkeypatch.setattr(planner.time, "monotonic", lambda: 5.0)
    rounds = []
    monkeypatch.setattr(planner._Planning, "reached", False)
    monkeypatch.setattr(planner, "mend", lambda *asked: rounds.append(asked))
    made = planner.plan(simple_task(4, 2, 2, gap=10), budget_seconds=0)
    again = planner.plan(simple_task(4, 2, 2, gap=10), budget_seconds=0, previous=made)
    assert (again.sets, [in_time() for *_, in_time in rounds]) == (made.sets, [False] * len(rounds))


def test_what_is_no_shorter_is_not_taken_for_an_earlier_timetable(monkeypatch):
    """Two who could as well change places keep theirs, and nobody is shown a timetable in which they have."""
    speakers = (Speaker(101, (1,)), Speaker(102, (1,)))
    table, shown = laid_out(speakers, ONE, (0, 0), (0, 1)), []
    earlier = Plan(table.puzzle.planned(table.room, table.slot), bound_of(table.puzzle))

    def exchange(table, shortest, random, in_time):
        for set_ in (0, 1):
            table.take(set_)
        table.put(0, 0, 1)
        table.put(1, 0, 0)

    monkeypatch.setattr(planner, "mend", exchange)
    monkeypatch.setattr(planner._Planning, "reached", False)
    planner.plan(table.puzzle.task, previous=earlier, on_better=shown.append)
    assert {plan.sets for plan in shown} == {earlier.sets}


def test_before_anything_has_happened_all_is_left():
    task = Task(TEAM_MATES, ONE, Timing(0, 2))
    assert around(task, [], 0) == task
