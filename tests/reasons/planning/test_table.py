"""The numbered task and a timetable in the making, where each thing begins and ends to the minute and the slot."""

from dataclasses import replace

import pytest

from reasons.planning import CannotPlan, Room, Speaker, Task, Timing, lower_bound, plan
from reasons.planning.clock import minute_of_day
from reasons.planning.puzzle import NOBODY, Puzzle
from reasons.planning.table import FREE, Table
from reasons.planning.task import check
from tests.reasons.planning.examples import simple_task

ONE_ROOM = (Room("1"),)
EIGHT = tuple(Speaker(number, (1,), team) for number, team in enumerate(("a", "a", "b", "", "", "b", "c", "c"), 101))


def puzzle(speakers=EIGHT, rooms=ONE_ROOM, timing=None):
    return Puzzle(Task(tuple(speakers), tuple(rooms), timing or Timing(540, 2)))


class TestBreaks:
    @pytest.mark.parametrize(
        ("pause", "starts"),
        [
            ((542, 550), [540, 550, 552]),  # the set before it ends as it begins
            ((541, 550), [550, 552, 554]),
            ((540, 541), [541, 543, 545]),
            ((538, 540), [540, 542, 544]),
            ((538, 541), [541, 543, 545]),
        ],
    )
    def test_nobody_speaks_in_a_break_and_somebody_may_up_to_it_and_from_its_end(self, pause, starts):
        clock = Timing(540, 2, breaks=(pause,)).starts()
        assert [next(clock) for _ in starts] == starts

    def test_breaks_may_follow_one_another_in_any_order(self):
        clock = Timing(540, 2, breaks=((550, 560), (541, 551))).starts()
        assert [next(clock), next(clock)] == [560, 562]

    def test_somebody_may_speak_up_to_midnight_between_breaks(self):
        check(Task((Speaker(101, (1,)),), (Room("1"),), Timing(540, 2, breaks=((540, 1438),))))
        with pytest.raises(CannotPlan, match="between 09:00 and midnight"):
            check(Task((Speaker(101, (1,)),), (Room("1"),), Timing(540, 2, breaks=((540, 1439),))))

    def test_who_begins_before_midnight_may_end_after_it(self):
        check(Task((Speaker(101, (1,)),), (Room("1"),), Timing(1439, 2, breaks=((1000, 1100),))))
        with pytest.raises(CannotPlan, match="between 23:58 and midnight"):  # the last that could end by then
            check(Task((Speaker(101, (1,)),), (Room("1"),), Timing(1438, 2, breaks=((1438, 1500),))))

    @pytest.mark.parametrize(
        ("timing", "message"),
        [
            (Timing(540, 0), "a set takes a minute or more"),
            (Timing(540, 2, gap=-1), "times are not negative"),
            (Timing(540, 2, prepare=-1), "times are not negative"),
            (Timing(-1, 2), "times are not negative"),
            (Timing(540, 2, breaks=((550, 550),)), "a break ends after it begins"),
        ],
    )
    def test_times_that_contradict_themselves_are_refused(self, timing, message):
        with pytest.raises(CannotPlan, match=message):
            check(Task((), (), timing))

    def test_the_first_set_waits_for_the_preparing(self):
        assert (Timing(540, 2, prepare=5).first, next(Timing(540, 2, prepare=5).starts())) == (545, 545)
        assert [Timing(540, 2).start_from(minute) for minute in (540, 541, 542)] == [540, 542, 542]

    def test_a_set_may_take_a_minute_and_a_day_may_begin_at_midnight(self):
        (one,) = plan(Task((Speaker(101, (1,)),), ONE_ROOM, Timing(0, 1))).sets
        assert (one.start, one.end) == (0, 1)

    def test_after_midnight_is_no_time_of_day_unless_it_may_be(self):
        assert minute_of_day("24:10", after_midnight=True) == 1450
        with pytest.raises(ValueError, match="no time of day"):
            minute_of_day("24:10")


class TestPuzzle:
    def test_slots_begin_and_end_at_the_minute(self):
        made = puzzle()
        assert [made.first_slot(minute) for minute in (0, 540, 541, 542, 543)] == [0, 0, 1, 1, 2]
        assert [made.first_end_past(minute) for minute in (541, 542, 543, 544)] == [0, 1, 1, 2]
        assert made.first_end_past(None) == made.horizon
        assert [made.ends(slots) for slots in range(3)] == [540, 542, 544]

    def test_a_room_is_open_from_the_slot_in_which_it_opens_to_the_one_before_it_closes(self):
        made = puzzle(rooms=(Room("1", opens=542, closes=546), Room("2")))
        assert [made.is_open(0, slot) for slot in range(4)] == [False, True, True, False]
        assert made.is_open(1, 0)

    def test_there_are_slots_for_who_comes_late_and_not_many_more(self):
        made = puzzle([Speaker(101, (1,)), Speaker(102, (1,), ready=600)])
        assert made.starts[made.ready[1]] == 600
        assert 30 < made.horizon < 100

    @pytest.mark.parametrize(("gap", "after"), [(0, [1, 2, 3]), (1, [2, 3, 4]), (2, [2, 3, 4]), (3, [3, 4, 5])])
    def test_rests_are_rounded_up_to_whole_slots(self, gap, after):
        made = puzzle([Speaker(101, (1, 2, 3))], timing=Timing(540, 2, gap=gap))
        assert made.after[:3] == after
        assert [made.hop[k][0] for k in range(4)] == [0, after[0], 2 * after[0], 3 * after[0]]
        assert [made.before[slot] for slot in after] == [0, 1, 2]
        assert made.before[after[0] - 1] == NOBODY
        assert made.no_rest is (gap == 0)

    def test_sets_teams_and_rooms_are_numbered(self):
        made = puzzle(
            [Speaker(102, (5, 3), "b"), Speaker(101, (3,)), Speaker(103, (5,), "b")],
            [Room("1", frozenset({5}), last_team="b"), Room("2"), Room("3", last_team="z")],
        )
        assert (made.numbers, made.classes, made.sets_of) == ([101, 102, 103], [3, 5], [[0], [1, 2], [3]])
        assert (made.who, made.on, made.count, made.most_sets) == ([0, 1, 1, 2], [0, 0, 1, 1], 4, 2)
        assert (made.team, made.set_team, made.last_team) == ([NOBODY, 0, 0], [NOBODY, 0, 0, 0], [0, NOBODY, NOBODY])
        assert made.rooms_of == [[1, 2], [0, 1, 2]]
        assert made.loads() == {frozenset({1, 2}): 2, frozenset({0, 1, 2}): 2}

    def test_a_timetable_is_told_by_time_and_then_in_the_order_of_the_rooms(self):
        made = puzzle(EIGHT[:3], [Room("2"), Room("1")])
        told = made.planned([1, 0, 0], [0, 0, 1])
        assert [(one.start, one.room, one.number, one.class_number, one.end) for one in told] == [
            (540, "2", 102, 1, 542),
            (540, "1", 101, 1, 542),
            (542, "2", 103, 1, 544),
        ]


class TestTable:
    """101 and 102 are of team a, 103 and 106 of b, 104 and 105 of none, 107 and 108 of c."""

    def seated(self, *places, rooms=ONE_ROOM):
        table = Table(puzzle(rooms=rooms))
        for set_, room, slot in places:
            table.put(set_, room, slot)
        return table

    def test_what_is_put_is_there_and_what_is_taken_is_not(self):
        table = self.seated((0, 0, 2), (2, 0, 1))
        assert (table.at[0][:4], table.length, table.reach) == ([FREE, 2, 0, FREE], 3, 3)
        table.take(0)
        assert (table.at[0][:4], table.room[0], table.slot[0], table.length) == ([FREE, 2, FREE, FREE], FREE, FREE, 2)
        assert table.reach == 3
        table.shrink()
        assert table.reach == 2
        assert (self.seated().length, self.seated().reach) == (0, 0)
        nobody = Table(puzzle([]))
        nobody.restore(nobody.state())
        assert nobody.reach == 0

    def test_a_rooms_last_team_is_the_one_before_its_first_set(self):
        table = self.seated((2, 0, 1), rooms=(Room("1", last_team="a"),))
        assert [table.team_before(0, slot) for slot in (0, 1, 2, 3)] == [0, 0, 1, 1]
        assert [table.team_after(0, slot) for slot in (0, 1, 2)] == [1, NOBODY, NOBODY]
        assert table.clashes(0, 0, 0) == 1
        follows = self.seated((0, 0, 1), rooms=(Room("1", last_team="a"),))
        assert follows.following() == [0]
        assert self.seated((2, 0, 0), (0, 0, 1), rooms=(Room("1", last_team="a"),)).following() == []

    def test_team_mates_are_counted_on_both_sides_whatever_lies_between(self):
        table = self.seated((0, 0, 0), (1, 0, 5), (3, 0, 6), (4, 0, 7))
        assert table.clashes(0, 0, 3) == 2
        assert (table.clashes(2, 0, 3), table.clashes(3, 0, 3)) == (0, 0)
        assert table.following() == [1]
        assert table.gap_clash(0, 3) == 1
        table.put(2, 0, 3)
        assert (table.following(), table.gap_clash(0, 3), table.gap_clash(0, 6)) == ([], 1, 0)
        assert self.seated((3, 0, 0), (4, 0, 2)).gap_clash(0, 1) == 0

    def test_it_costs_its_slots_a_wait_for_each_who_follows_and_then_the_waiting(self):
        table = Table(puzzle(EIGHT[:3]))
        for set_, slot in ((0, 0), (1, 1), (2, 2)):
            table.put(set_, 0, slot)
        assert table.cost() == (3 + 15, 3)
        state = table.state()
        table.take(1)
        table.put(1, 0, 3)
        table.restore(state)
        assert (table.at[0][:4], table.reach, table.cost()) == ([0, 1, 2, FREE], 3, (18, 3))

    def test_somebody_rests_between_their_sets_on_both_sides(self):
        made = puzzle([Speaker(101, (1, 2), ready=541), Speaker(102, (1,))], timing=Timing(540, 2, gap=2))
        table = Table(made)
        assert [table.rests(0, slot) for slot in (0, 1)] == [False, True]
        table.put(1, 0, 4)
        assert [table.rests(0, slot) for slot in range(1, 8)] == [True, True, False, False, False, True, True]
        assert table.rests(0, 4, besides=1)
        assert table.rests(2, 4)

    def test_a_set_is_heard_where_the_room_is_open_and_hears_its_class(self):
        table = Table(puzzle([Speaker(101, (1, 2))], [Room("1", frozenset({2}), closes=542), Room("2")]))
        assert [table.heard_in(1, 0, slot) for slot in (0, 1)] == [True, False]
        assert (table.heard_in(0, 0, 0), table.heard_in(0, 1, 5)) == (False, True)


class TestLowerBound:
    def test_a_room_that_opens_late_or_closes_early_counts_for_its_hours_alone(self):
        task = simple_task(10, 1, 2)
        late = replace(task, rooms=(task.rooms[0], replace(task.rooms[1], opens=544)))
        assert (lower_bound(late).slots, plan(late).over) == (6, 0)
        early = replace(task, rooms=(task.rooms[0], replace(task.rooms[1], closes=544)))
        assert (lower_bound(early).slots, plan(early).over) == (8, 0)

    def test_windows_count_who_comes_late(self):
        # Four who come at the fifth slot need slots 5 to 8 of the one room, whatever the others leave free.
        speakers = [Speaker(number, (1,), ready=548 if number > 102 else 0) for number in range(101, 107)]
        bound = lower_bound(Task(tuple(speakers), (Room("1"),), Timing(540, 2)))
        assert (bound.slots, bound.ends) == (8, 556)
        assert bound.because == "the sets of all the contestants, with the time between each one's sets"

    def test_windows_leave_time_for_the_sets_still_owed(self):
        # Three with two sets and four slots of rest: the last of the three first sets cannot be before slot 2.
        bound = lower_bound(simple_task(3, 2, 1, gap=8))
        assert (bound.slots, plan(simple_task(3, 2, 1, gap=8)).over) == (8, 0)

    def test_one_that_is_late_alone_says_so(self):
        speakers = (Speaker(101, (1,)), Speaker(102, (1, 2), ready=550), Speaker(103, (1,)), Speaker(104, ()))
        task = Task(speakers, (Room("1"), Room("2")), Timing(540, 2, 2))
        assert (lower_bound(task).slots, lower_bound(task).because) == (
            8,
            "the 2 sets of contestant 102, with the time between them",
        )

    @pytest.mark.parametrize(("others", "slots"), [(7, 3), (8, 2)])
    def test_rooms_are_put_together_in_every_way_for_up_to_ten_groups_of_them(self, others, slots):
        """Three rooms share nine sets, each class heard in two of them: 3 slots, which no group of two shows alone, nor
        all rooms together. More groups are not all put together."""
        shared = [Room(str(place), frozenset({1, 2, 3} - {place})) for place in (1, 2, 3)]
        alone = [Room(str(10 + place), frozenset({10 + place})) for place in range(others)]
        classes = [1, 2, 3] * 3 + [10 + place for place in range(others)]
        speakers = tuple(Speaker(101 + place, (number,)) for place, number in enumerate(classes))
        assert lower_bound(Task(speakers, (*shared, *alone), Timing(540, 2))).slots == slots

    @pytest.mark.parametrize(
        ("teams", "last", "following"),
        [("aaab", "", 1), ("aaab", "a", 2), ("aaab", "b", 1), ("aabb", "", 0), ("aabb", "a", 0), ("aa", "b", 1)],
    )
    def test_a_team_follows_itself_where_nobody_else_is_left_to_part_it(self, teams, last, following):
        speakers = tuple(Speaker(101 + place, (1,), team) for place, team in enumerate(teams))
        task = Task(speakers, (Room("1", last_team=last),), Timing(540, 2))
        assert (lower_bound(task).following, plan(task).following) == (following, following)

    def test_rooms_that_share_no_class_are_bounded_apart(self):
        speakers = tuple(Speaker(101 + place, (1 if place < 3 else 2,), "ab"[place // 3]) for place in range(6))
        task = Task(speakers, (Room("1", frozenset({1})), Room("2", frozenset({2}))), Timing(540, 2))
        assert (lower_bound(task).following, plan(task).following) == (4, 4)
