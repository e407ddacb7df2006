"""Making a timetable better, move by move, from tables laid out by hand."""

from dataclasses import replace

from reasons.planning import Room, Speaker, Task, Timing, lower_bound, planner
from reasons.planning.bounds import bound_of
from reasons.planning.building import build
from reasons.planning.mending import _chain, _end_earlier, _follow, _step_helps, mend, squeeze
from reasons.planning.puzzle import Puzzle
from reasons.planning.table import FREE, Table


def laid_out(speakers, rooms, *places, minutes=2):
    """A table with its sets, by number and then by class, each in its (room, slot)."""
    table = Table(Puzzle(Task(tuple(speakers), tuple(rooms), Timing(540, minutes))))
    for set_, place in enumerate(places):
        table.put(set_, *place)
    return table


def places(table):
    found = list(zip(table.room, table.slot, strict=True))
    assert {(room, slot): table.at[room][slot] for room, slot in found} == {place: s for s, place in enumerate(found)}
    assert sum(set_ != FREE for row in table.at for set_ in row) == len(found)  # and nobody is anywhere else
    return found


def always():
    return True


class TestSqueezing:
    ROOMS = (Room("1"), Room("2"))

    def test_the_last_that_fits_goes_into_each_hole(self):
        table = laid_out([Speaker(101 + place, (1,)) for place in range(4)], self.ROOMS, (0, 1), (0, 2), (1, 3), (0, 5))
        squeeze(table)
        assert (places(table), table.reach) == ([(0, 1), (1, 1), (1, 0), (0, 0)], 2)

    def test_a_set_stays_where_it_may_not_go(self):
        speakers = [Speaker(101, (1,), ready=544), Speaker(102, (2,))]
        rooms = (Room("1", frozenset({1})), Room("2", frozenset({2}), opens=542))
        table = laid_out(speakers, rooms, (0, 3), (1, 1))
        squeeze(table)
        assert places(table) == [(0, 2), (1, 1)]

    def test_no_set_goes_where_it_would_follow_a_team_mate(self):
        speakers = [Speaker(101, (1,), "a"), Speaker(102, (1,), "a"), Speaker(103, (1,), "b")]
        table = laid_out(speakers, ONE, (0, 0), (0, 4), (0, 2))
        squeeze(table)
        assert places(table) == [(0, 0), (0, 2), (0, 1)]

    def test_one_who_follows_already_may_move_up(self):
        speakers = [Speaker(101, (1,), "a"), Speaker(102, (1,), "a")]
        table = laid_out(speakers, ONE, (0, 0), (0, 3))
        assert _step_helps(table, 1, 0, 1)
        assert _step_helps(table, 1, 0, 3) is False  # it is there
        squeeze(table)
        assert places(table) == [(0, 0), (0, 1)]

    def test_whether_a_step_helps_changes_nothing(self):
        speakers = [Speaker(101, (1,), "a"), Speaker(102, (1,), "b"), Speaker(103, (1,), "a")]
        table = laid_out(speakers, self.ROOMS, (0, 0), (0, 2), (0, 3))
        before = table.state()
        assert _step_helps(table, 1, 1, 1) is False  # then 103 would follow 101
        assert _step_helps(table, 1, 0, 1)
        assert _step_helps(table, 2, 1, 0)
        assert table.state() == before


ONE = (Room("1"),)


class TestEndingEarlier:
    """104 and 105 of one team follow one another in a room of their own, which nobody can help. 103 speaks on class 2
    in the last slot, in the room that 102 has in the first; in the second 103 speaks on class 3 elsewhere."""

    SPEAKERS = (
        Speaker(102, (2,)),
        Speaker(103, (2, 3)),
        Speaker(104, (1,), "a"),
        Speaker(105, (1,), "a"),
    )
    ROOMS = (Room("1", frozenset({1})), Room("2", frozenset({2})), Room("3", frozenset({3}), opens=542))
    PLACES = ((1, 0), (1, 2), (2, 1), (0, 0), (0, 1))

    def test_the_last_slot_is_emptied_although_team_mates_follow_one_another_elsewhere(self):
        table = laid_out(self.SPEAKERS, self.ROOMS, *self.PLACES)
        squeeze(table)
        assert places(table) == list(self.PLACES)  # no set can go earlier alone
        assert table.following() == [4]
        assert _end_earlier(table, None)
        assert places(table) == [(1, 1), (1, 0), *self.PLACES[2:]]
        assert (table.length, table.following()) == (2, [4])

    def test_it_stays_as_it_was_where_that_cannot_be(self):
        """102 comes later, so that 103, who comes later too, cannot have its place."""
        late = (replace(self.SPEAKERS[0], ready=541), replace(self.SPEAKERS[1], ready=542), *self.SPEAKERS[2:])
        table = laid_out(late, self.ROOMS, (1, 1), *self.PLACES[1:])
        assert _end_earlier(table, None) is False
        assert places(table) == [(1, 1), *self.PLACES[1:]]

    def test_what_was_moved_goes_back_where_the_next_cannot_move(self):
        speakers = [Speaker(101, (1,)), Speaker(102, (1,), ready=544)]
        table = laid_out(speakers, (Room("1"), Room("2")), (0, 2), (1, 2))
        assert _end_earlier(table, None) is False
        assert places(table) == [(0, 2), (1, 2)]

    def test_nobody_comes_into_the_slot_that_is_to_be_empty(self):
        """101 could only take the place of 102, who could go earlier, or of 103, who could take the last slot."""
        speakers = [Speaker(101, (1,), ready=544), Speaker(102, (1,))]
        table = laid_out(speakers, (Room("1"), Room("2")), (0, 2), (1, 2))
        assert _chain(table, 0, 2, None, None) is False
        rooms = (Room("1", frozenset({1})),)
        full = laid_out([Speaker(101, (1,)), Speaker(103, (1,))], rooms, (0, 1), (0, 0))
        assert _chain(full, 0, 1, None, None) is False
        assert places(full) == [(0, 1), (0, 0)]

    def test_mending_ends_at_the_shortest_and_not_before(self):
        table = laid_out(self.SPEAKERS, self.ROOMS, *self.PLACES)
        mend(table, 3, None, always)
        assert table.length == 3
        mend(table, 2, None, always)
        assert table.length == 2

    def test_no_room_idles_in_what_was_mended(self):
        table = laid_out([Speaker(101, (1,))], ONE, (0, 1))
        mend(table, 9, None, always)
        assert places(table) == [(0, 0)]

    def test_nothing_is_mended_when_the_time_is_over(self):
        table = laid_out(self.SPEAKERS, self.ROOMS, *self.PLACES)
        mend(table, 2, None, lambda: False)
        assert places(table) == list(self.PLACES)


class TestPartingTeamMates:
    SPEAKERS = (Speaker(101, (1,), "a"), Speaker(102, (1,), "a"), Speaker(103, (1,), "b"), Speaker(104, (1,), "b"))

    def test_they_change_places_with_those_nearest_in_time(self):
        table = laid_out(self.SPEAKERS, ONE, (0, 0), (0, 1), (0, 2), (0, 3))
        assert table.following() == [1, 3]
        mend(table, 4, None, always)
        assert (table.following(), table.length) == ([], 4)

    def test_the_one_before_goes_where_the_one_who_follows_cannot(self):
        speakers = (Speaker(101, (1,), "a"), Speaker(102, (2,), "a"))
        table = laid_out(speakers, (Room("1", closes=544), Room("2", frozenset({1}))), (0, 0), (0, 1))
        mend(table, 2, None, always)
        assert (places(table), table.following()) == ([(1, 0), (0, 0)], [])

    def test_whoever_comes_next_goes_between_where_neither_of_the_two_can_go(self):
        """103 goes between, 102 to the place of 104, and 104, who comes too late to go between, to that of 103."""
        speakers = (Speaker(101, (1,), "a"), Speaker(102, (2,), "a"), Speaker(103, (2,)), Speaker(104, (2,), ready=544))
        rooms = (Room("1"), Room("2", frozenset({2}), opens=544))
        table = laid_out(speakers, rooms, (0, 0), (0, 1), (0, 2), (1, 2))
        mend(table, 3, None, always)
        assert (places(table), table.following()) == ([(0, 0), (1, 2), (0, 1), (0, 2)], [])

    def test_a_chain_for_less_must_make_the_whole_cheaper(self):
        speakers = (*self.SPEAKERS[:3], Speaker(104, (1,), "c"))
        table = laid_out(speakers, ONE, (0, 0), (0, 1), (0, 2), (0, 3))
        assert _chain(table, 1, 4, (4, 6), None) is False  # as cheap as it can be, and not cheaper
        assert places(table) == [(0, 0), (0, 1), (0, 2), (0, 3)]
        assert _chain(table, 1, 4, table.cost(), None)
        assert places(table) == [(0, 0), (0, 3), (0, 2), (0, 1)]

    def test_moves_that_make_nothing_cheaper_are_undone(self):
        table = laid_out((Speaker(101, (1,)), Speaker(102, (1,))), ONE, (0, 0), (0, 1))
        assert _follow(table, 0, (0, 5), {0: FREE}, table.cost()) is False
        assert places(table) == [(0, 0), (0, 1)]

    def test_of_two_who_could_change_places_the_nearer_in_time_does(self):
        speakers = [
            Speaker(101, (1,), "a"),
            Speaker(102, (1,), "a"),
            *(Speaker(number, (1,)) for number in (103, 104, 105)),
        ]
        table = laid_out(speakers, ONE, (0, 0), (0, 1), (0, 4), (0, 3), (0, 2))
        assert _chain(table, 1, 5, table.cost(), None)
        assert places(table) == [(0, 0), (0, 3), (0, 4), (0, 1), (0, 2)]
        table = laid_out(speakers, ONE, (0, 4), (0, 3), (0, 0), (0, 1), (0, 2))
        assert _chain(table, 1, 5, table.cost(), None)
        assert places(table) == [(0, 4), (0, 1), (0, 0), (0, 3), (0, 2)]

    def test_without_random_nobody_waits_much_longer_for_it(self):
        """Half an hour is 2 slots of 15 minutes: a free place 3 slots away is not taken, one 2 away is."""
        speakers = (Speaker(101, (1,), "a"), Speaker(102, (1,), "a"))
        for far, helped in ((2, True), (3, False)):
            rooms = (Room("1"), Room("2", opens=540 + 15 * (1 + far)))
            table = laid_out(speakers, rooms, (0, 0), (0, 1), minutes=15)
            assert _chain(table, 1, 2 + far, (99, 0), None) is helped
            assert (table.room[1] == 1) is helped


def test_a_chain_is_looked_for_among_forty_sets_and_no_more():
    """Each set can only take the place of the next; the last of them can go to the hole."""
    for people, found in ((40, True), (41, False)):
        speakers = [Speaker(101 + place, (place + 1,)) for place in range(people)]
        rooms = [Room(str(place), frozenset({place, place + 1})) for place in range(people + 1)]
        table = laid_out(speakers, rooms, *((place, 0) for place in range(people)))
        assert _chain(table, 0, 1, None, None) is found
        assert places(table) == [(place + found, 0) for place in range(people)]


class TestBuilding:
    def test_who_needs_the_most_time_comes_first(self):
        speakers = (Speaker(101, (1,)), Speaker(102, (1, 2, 3)), Speaker(103, (1, 2)))
        made = build(Puzzle(Task(speakers, ONE, Timing(540, 2))))
        assert [made.puzzle.numbers[made.puzzle.who[set_]] for set_ in made.at[0][:6]] == [102, 102, 103, 101, 102, 103]

    def test_what_is_built_in_no_time_stays(self, monkeypatch):
        """The clock stands still at the very end of the time: nothing is mended."""
        task = Task((*TestPartingTeamMates.SPEAKERS[:2], Speaker(105, (1,))), ONE, Timing(540, 2))
        monkeypatch.setattr(planner.time, "monotonic", lambda: 5.0)
        first = build(Puzzle(task))
        squeeze(first)
        made = planner.plan(task, budget_seconds=0)
        assert made.sets == first.puzzle.planned(first.room, first.slot)
        assert lower_bound(task) == bound_of(first.puzzle) == made.bound
