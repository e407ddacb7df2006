"""Planning around the times in which contestants and officials are in another contest."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from reasons.planning import PlannedSet, Room, Speaker, Task, Timing, around, lower_bound, on_deck, plan
from reasons.planning.accommodating import in_quiet_rooms, lengthened
from reasons.planning.child import order_from, order_line
from tests.reasons.planning.examples import broken_laws, simple_task, tasks

EIGHT = Timing(start=480, minutes=6)


def starts(made):
    return [(one.start, one.number) for one in made.sets]


def test_nobody_speaks_while_they_are_elsewhere_and_the_others_go_before():
    task = Task((Speaker(101, (1,), busy=((470, 487),)), Speaker(102, (1,)), Speaker(103, (1,))), (Room("1"),), EIGHT)
    assert starts(plan(task)) == [(480, 102), (486, 103), (492, 101)]


def test_a_room_waits_for_whoever_hears_there():
    task = Task((Speaker(101, (1,)), Speaker(102, (1,))), (Room("1", busy=((486, 492),)),), EIGHT)
    assert [start for start, _number in starts(plan(task))] == [480, 492]
    assert lower_bound(task).ends == 498


@pytest.mark.parametrize(
    ("busy", "begins"),
    [((474, 480), 480), ((486, 490), 480), ((485, 490), 492), ((479, 481), 486), ((0, 1600), 1602), ((487, 481), 480)],
)
def test_what_ends_as_a_set_begins_is_in_nobodys_way(busy, begins):
    task = Task((Speaker(101, (1,), busy=(busy,)),), (Room("1"),), EIGHT)
    made = plan(task)
    assert starts(made) == [(begins, 101)]
    assert made.over == 0
    assert made.bound.because == "the 1 set of contestant 101, with the time between them" or busy[0] > busy[1]


def test_the_bound_counts_the_rests_between_the_times_elsewhere():
    speaker = Speaker(101, (1, 2, 3), busy=((486, 498), (510, 516)))
    task = Task((speaker,), (Room("1"), Room("2")), replace(EIGHT, gap=6))
    made = plan(task)
    assert [start for start, _number in starts(made)] == [480, 498, 516]
    assert (made.over, made.proved) == (0, True)


@given(tasks(most_people=8, most_sets=2, away=True))
@settings(deadline=None, max_examples=20)
def test_planned_again_it_is_kept_too(task):
    free = replace(task, speakers=tuple(replace(speaker, busy=()) for speaker in task.speakers))
    earlier = plan(free, budget_seconds=0.1)
    assert broken_laws(task, plan(task, budget_seconds=0.1, previous=earlier)) == []


def test_few_move_for_somebody_who_is_elsewhere_now():
    task = simple_task(12, 1, 2, team_size=0)
    made = plan(task)
    gone = made.sets[4].number
    speakers = tuple(replace(one, busy=((535, 546),)) if one.number == gone else one for one in task.speakers)
    again = plan(replace(task, speakers=speakers), previous=made)
    was = {one.number: (one.room, one.start) for one in made.sets}
    moved = [one for one in again.sets if was[one.number] != (one.room, one.start)]
    assert len(moved) == 2
    assert next(one.start for one in moved if one.number == gone) >= 546


def test_who_waits_at_a_door_and_is_elsewhere_then_is_planned_anew():
    task = Task((Speaker(101, (1,), busy=((485, 500),)), Speaker(102, (1,))), (Room("1"), Room("2")), EIGHT)
    called = [PlannedSet(480, "1", 101, 1, 486), PlannedSet(480, "2", 102, 1, 486)]
    assert [one.number for one in on_deck(task, [], called, 480)] == [102]
    shut = replace(task, rooms=(Room("1"), Room("2", busy=((480, 481),))))
    assert on_deck(shut, [], called, 480) == []
    later = replace(task, speakers=(Speaker(101, (1,), busy=((470, 480), (486, 500))), task.speakers[1]))
    assert on_deck(later, [], called, 480) == called
    assert around(task, [], 480).speakers[0].busy == ((485, 500),)


def test_a_longer_set_does_not_run_into_another_contest():
    speakers = (Speaker(101, (1,), busy=((486, 495),)), Speaker(102, (1,)))
    task = Task(speakers, (Room("1", busy=((501, 507),)),), EIGHT)
    made = plan(task)
    assert starts(made) == [(480, 101), (486, 102)]
    longer = lengthened(made, EIGHT, task.rooms, {101: 50}, speakers)
    assert [(one.start, one.end, one.number) for one in longer.sets] == [(507, 516, 101), (516, 522, 102)]


def test_nobody_is_brought_into_a_quiet_room_whose_official_is_elsewhere():
    made = plan(Task((Speaker(101, (1,)), Speaker(102, (1,))), (Room("1"), Room("2")), EIGHT))
    loud = next(one.number for one in made.sets if one.room == "1")
    rooms = (Room("1"), Room("2", busy=((480, 486),)))
    assert in_quiet_rooms(made, rooms, {"2"}, {loud}) == made


def test_the_process_that_goes_on_looking_is_told():
    task = Task((Speaker(101, (1,), busy=((1, 2), (3, 4))),), (Room("1", busy=((5, 6),)),), EIGHT)
    assert order_from(order_line(task, None, 0, 1))[0] == task
