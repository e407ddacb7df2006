"""The laws of a timetable, over random contests."""

from dataclasses import replace

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from reasons.planning import CannotPlan, Room, Speaker, Task, Timing, lower_bound, plan
from tests.reasons.planning.examples import (
    broken_laws,
    clock,
    following,
    idle_while_somebody_could_speak,
    least_cost,
    simple_task,
    tasks,
)


@given(tasks(away=True))
@settings(deadline=None, max_examples=20)
def test_every_law_is_kept(task):
    made = plan(task, budget_seconds=0.1)
    assert broken_laws(task, made) == []
    assert made.following == following(task, made.sets) >= made.bound.following
    assert made.over >= 0
    assert made.bound == lower_bound(task)


@given(tasks(away=True))
@settings(deadline=None, max_examples=20)
def test_no_room_idles_while_somebody_could_speak(task):
    assert idle_while_somebody_could_speak(task, plan(task, budget_seconds=0.1)) == []


@given(tasks(most_people=5, most_sets=2, most_rooms=2, hours=False, away=True).filter(lambda task: 0 < task.sets <= 6))
@settings(deadline=None, max_examples=20)
def test_small_contests_have_the_best_plan_there_is(task):
    made = plan(task)
    wait = -(-30 // task.timing.minutes)
    slots = (made.ends - 540) // task.timing.minutes
    cost = slots + wait * made.following
    event(f"over the bound: {made.over > 0}")
    event(f"following: {made.following > 0}")
    assert made.proved
    event(f"following cannot be helped: {made.bound.following > 0}")
    assert cost == least_cost(task, slots=max(slots, min(cost, made.bound.slots + 5)), below=cost + 1)


@given(st.integers(1, 60), st.integers(1, 4), st.integers(1, 8), st.booleans())
@settings(deadline=None, max_examples=20)
def test_without_rests_the_bound_is_reached(people, sets, rooms, keep):
    task = simple_task(people, sets, rooms, keep=keep, team_size=0)
    made = plan(task, budget_seconds=5)
    assert broken_laws(task, made) == []
    assert (made.over, made.following) == (0, 0)


@given(tasks(most_people=6, most_sets=3, hours=False))
@settings(deadline=None, max_examples=10)
def test_the_same_task_and_seed_give_the_same_plan(task):
    assert plan(task, seed=3) == plan(task, seed=3)


@given(tasks())
@settings(deadline=None, max_examples=10)
def test_every_plan_shown_on_the_way_is_sound_and_each_is_better(task):
    shown = []
    made = plan(task, budget_seconds=0.1, on_better=shown.append)
    assert shown[-1].sets == made.sets
    for earlier in shown:
        assert broken_laws(task, earlier) == []
    costs = [
        ((one.bound.slots and slots_of(one, task)) + -(-30 // task.timing.minutes) * one.following, starts(one))
        for one in shown
    ]
    assert costs == sorted(costs, reverse=True)
    assert len(set(costs)) == len(costs)


def slots_of(made, task):
    return len(clock(task, made.ends))


def starts(made):
    return sum(one.start for one in made.sets)


@pytest.mark.parametrize("keep", [False, True])
def test_three_hundred_contestants_are_planned_to_the_bound(keep):
    task = simple_task(300, 4, 8, gap=10, keep=keep)
    made = plan(task, budget_seconds=20)
    assert broken_laws(task, made) == []
    assert (made.over, made.following, made.ends) == (0, 0, 540 + 300)


@pytest.mark.parametrize(
    ("people", "sets", "rooms", "keep", "following"),
    [(5, 1, 1, False, 4), (20, 2, 3, False, 37), (20, 2, 4, True, 36)],
)
def test_one_team_alone_follows_itself_no_more_than_it_must(people, sets, rooms, keep, following):
    made = plan(simple_task(people, sets, rooms, keep=keep, team_size=people))
    assert (made.following, made.bound.following) == (following, following)
    assert (made.over, made.proved) == (0, True)


def test_a_rest_longer_than_all_the_rest_is_kept():
    task = simple_task(6, 3, 2, gap=1000)
    made = plan(task)
    assert broken_laws(task, made) == []
    assert (made.over, made.ends) == (0, 540 + 2 * 1002 + 3 * 2)


def test_more_rooms_than_sets():
    task = simple_task(3, 2, 50)
    made = plan(task)
    assert broken_laws(task, made) == []
    assert made.over == 0


def test_after_midnight_the_hours_go_on():
    task = replace(simple_task(20, 1, 1), timing=Timing(1430, 2, breaks=((1438, 1450),)))
    made = plan(task)
    assert broken_laws(task, made) == []
    assert (made.over, made.ends) == (0, 1482)


def test_rooms_that_close_too_early_are_said_so():
    task = simple_task(5, 1, 1)
    closing = replace(task, rooms=(replace(task.rooms[0], closes=546),))
    with pytest.raises(CannotPlan, match="2 sets would be left"):
        plan(closing)


@pytest.mark.parametrize(("people", "sets", "gap"), [(120, 4, 10), (60, 3, 20), (45, 2, 7)])
def test_more_rooms_never_make_a_longer_day_where_they_keep_their_classes(people, sets, gap):
    ends = [
        plan(simple_task(people, sets, rooms, gap=gap, keep=True), budget_seconds=1).ends
        for rooms in range(sets, 6 * sets + 2)
    ]
    assert ends == sorted(ends, reverse=True)


def test_one_who_has_no_team_mate_here_follows_none():
    alone = Task((Speaker(101, (1, 2), "Alder"), Speaker(102, (1,), "Birch")), (Room("1"),), Timing(540, 2))
    assert plan(alone).following == 0
    together = replace(alone, speakers=(Speaker(101, (1, 2), "Alder"), Speaker(102, (1,), "Alder")))
    assert plan(together).following == 2


def test_a_room_that_opens_ten_hours_later_is_within_the_day():
    made = plan(Task((Speaker(101, (1,)),), (Room("1", opens=1140),), Timing(540, 2)), budget_seconds=1)
    assert [set_.start for set_ in made.sets] == [1140]
