"""Searching through to the end: only what is hopeless is passed over, and what is found is the best there is."""

from dataclasses import replace

import pytest

from reasons.planning import Room, Speaker, Task, Timing, plan, planner, searching
from reasons.planning.bounds import bound_of
from reasons.planning.building import build
from reasons.planning.puzzle import Puzzle
from reasons.planning.table import Table
from tests.reasons.planning.examples import least_cost, simple_task
from tests.reasons.planning.test_mending import places


def position(task, slots):
    """The search for a timetable of so many slots, before it has placed anybody."""
    return searching._Search(Puzzle(task), slots, searching._Budget(lambda: True))


def one_by_one(puzzle):
    """A poor timetable: one set after the other, each a rest after the one before."""
    table, slot = Table(puzzle), 0
    for set_ in range(puzzle.count):
        room = next(room for room in range(puzzle.rooms) if table.heard_in(set_, room, slot))
        table.put(set_, room, slot)
        slot = puzzle.after[slot]
    return table


class TestWhatIsHopeless:
    def test_one_contestants_sets_and_rests_need_their_slots(self):
        task = simple_task(1, 3, 2, gap=2)  # slots 0, 2 and 4
        assert (position(task, 5)._can_be_done(0), position(task, 4)._can_be_done(0)) == (True, False)
        assert (position(task, 7)._can_be_done(2), position(task, 6)._can_be_done(2)) == (True, False)
        late = replace(task, speakers=(replace(task.speakers[0], ready=546),))  # slots 3, 5 and 7
        assert (position(late, 8)._can_be_done(0), position(late, 7)._can_be_done(0)) == (True, False)

    def test_who_owes_nothing_needs_no_slot(self):
        speakers = (Speaker(101, (1,)), Speaker(102, (), ready=560))
        assert position(Task(speakers, (Room("1"),), Timing(540, 2)), 1)._can_be_done(0)

    @pytest.mark.parametrize(
        ("rooms", "slots", "slot", "enough"),
        [
            ((Room("1"),), 3, 0, True),
            ((Room("1"),), 2, 0, False),
            ((Room("1"),), 3, 1, False),
            ((Room("1", opens=542),), 4, 0, True),
            ((Room("1", opens=542),), 3, 0, False),
            ((Room("1", closes=546),), 9, 0, True),
            ((Room("1", closes=544),), 9, 0, False),
            ((Room("1"), Room("2", closes=542)), 2, 0, True),
            ((Room("1"), Room("2", closes=542)), 4, 2, False),  # the second has closed, and takes nothing away
            ((Room("1"), Room("2", closes=542)), 5, 2, True),
        ],
    )
    def test_three_sets_need_three_open_slots(self, rooms, slots, slot, enough):
        task = simple_task(3, 1, 1)
        assert position(replace(task, rooms=rooms), slots)._can_be_done(slot) is enough


def test_what_was_tried_in_vain_is_nowhere_in_what_is_found():
    """101 is tried in the first room, where the team-mate who comes later would follow, and goes into the second."""
    speakers = (Speaker(101, (1,), "a"), Speaker(102, (2,), "a", ready=542))
    rooms = (Room("1", frozenset({1, 2})), Room("2", frozenset({1})))
    assert places(position(Task(speakers, rooms, Timing(540, 2)), 2).run(0)) == [(1, 0), (0, 1)]


class TestWhatIsRemembered:
    def test_who_has_rested_is_as_good_as_anybody_and_who_has_not_is_not(self):
        made = position(simple_task(2, 2, 1, gap=2), 9)
        fresh = made._position(3)
        made.ready[0] = 3
        assert made._position(3) == fresh
        made.ready[0] = 4
        assert made._position(3) != fresh

    def test_people_who_owe_the_same_for_one_team_are_alike_and_others_are_not(self):
        made = position(simple_task(4, 2, 1, team_size=2), 9)
        one, other, third = (position(simple_task(4, 2, 1, team_size=2), 9) for _ in range(3))
        del one.owed[0][0], other.owed[1][0], third.owed[2][0]
        assert one._position(0) == other._position(0) != third._position(0)
        assert one._position(0) not in (made._position(0), one._position(1))

    def test_rooms_are_told_apart_by_their_last_team_and_people_without_sets_are_not_told(self):
        made = position(simple_task(2, 1, 1), 9)
        before = made._position(0)
        made.last_team[0] = 0
        assert made._position(0) != before
        made.owed[0].clear()
        people = made._position(0)[1]
        assert len(people) == 1


class TestHowLong:
    def test_the_search_is_given_up_after_so_many_positions(self, monkeypatch):
        monkeypatch.setattr(searching, "MOST_POSITIONS", 2)
        budget = searching._Budget(lambda: True)
        budget.spend()
        budget.spend()
        with pytest.raises(searching.GivenUp):
            budget.spend()

    def test_the_clock_is_asked_each_sixty_fourth_time(self):
        asked = []
        budget = searching._Budget(lambda: not asked.append(1))
        for _ in range(64 * 65):
            budget.spend()
        assert len(asked) == 65
        late = searching._Budget(lambda: False)
        with pytest.raises(searching.GivenUp):
            for _ in range(64):
                late.spend()

    def test_the_best_that_is_known_stays_when_it_is_given_up(self, monkeypatch):
        puzzle = Puzzle(simple_task(3, 2, 2, gap=2))
        poor = one_by_one(puzzle)
        monkeypatch.setattr(searching, "MOST_POSITIONS", 1)
        assert searching.search(puzzle, poor, bound_of(puzzle), lambda: True) == (poor, False)


@pytest.mark.parametrize(
    "task",
    [  # where a set takes 15 minutes, to part team-mates is worth two slots
        simple_task(3, 2, 2, minutes=15, gap=15, team_size=0),
        simple_task(2, 2, 2, minutes=15, gap=30, team_size=2),
        simple_task(4, 1, 2, minutes=15, team_size=4),
        simple_task(4, 1, 1, minutes=15, team_size=2),
        simple_task(3, 1, 1, minutes=30, team_size=2),
        simple_task(2, 2, 2, minutes=15, keep=True, team_size=2),
        Task(  # two must follow one another, and 102 must speak before 101: both are looked for at once
            (Speaker(101, (1,)), Speaker(102, (1, 2)), Speaker(103, (9,), "a"), Speaker(104, (9,), "a")),
            (Room("1", frozenset({1, 2})), Room("2", frozenset({9}))),
            Timing(540, 15, 30),
        ),
        Task(
            tuple(Speaker(101 + place, (1,), team) for place, team in enumerate("aabb")),
            (Room("1", last_team="a"), Room("2", closes=570, last_team="b")),
            Timing(540, 15),
        ),
        Task(
            tuple(Speaker(101 + place, (1, 2), "a" if place else "", 555 if not place else 0) for place in range(3)),
            (Room("1", frozenset({1})), Room("2", opens=555)),
            Timing(540, 15),
        ),
    ],
)
def test_what_is_found_is_as_good_as_the_best_of_all_that_there_are(task):
    puzzle = Puzzle(task)
    poor = one_by_one(puzzle)
    bound = bound_of(puzzle)
    least = least_cost(task, slots=bound.slots + 3, below=poor.cost()[0] + 1)
    found, proved = searching.search(puzzle, poor, bound, lambda: True)
    assert (found.cost()[0], proved) == (least, True)
    assert searching.search(puzzle, found, bound, lambda: True) == (found, True)


def test_what_is_built_slot_by_slot_is_left_where_nothing_is_better():
    puzzle = Puzzle(simple_task(4, 2, 2, gap=2, team_size=0))
    made = build(puzzle)
    assert searching.search(puzzle, made, bound_of(puzzle), lambda: True) == (made, True)


def test_who_must_follow_a_team_mate_whatever_happens_is_not_searched_for(monkeypatch):
    """Five sets of one team, one of another and two rooms, in one of which the first team spoke last."""
    monkeypatch.setattr(searching, "MOST_POSITIONS", 40)
    owed = {101: (2,), 102: (1, 2), 103: (1, 2), 104: (1,)}
    speakers = tuple(Speaker(number, classes, "b" if number == 104 else "d") for number, classes in owed.items())
    task = Task(speakers, (Room("1", last_team="a"), Room("2", last_team="d")), Timing(540, 3, 2))
    made = plan(task)
    assert (made.bound.following, made.following, made.proved) == (3, 3, True)


@pytest.mark.parametrize(("small", "proved"), [(6, True), (5, False)])
def test_a_timetable_of_so_many_sets_is_searched_to_the_end_and_no_larger_one(small, proved, monkeypatch):
    monkeypatch.setattr(planner, "SMALL", small)
    assert plan(simple_task(3, 2, 2, team_size=2)).proved is proved


def test_people_who_are_alike_are_tried_once():
    """Three of one team must follow one another twice. Once only is hopeless wherever it happens, and there are
    few positions, since it is all the same which of the three has spoken."""
    budget = searching._Budget(lambda: True)
    search = searching._Search(Puzzle(simple_task(3, 1, 1, team_size=3)), 4, budget)
    assert search.run(1) is None
    assert searching.MOST_POSITIONS - budget.left == 11
