"""Planning again in the middle of the day."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from reasons.planning import Plan, PlannedSet, Speaker, around, moves, plan
from tests.reasons.planning.examples import broken_laws, simple_task

NOW = 560


def task_and_plan(people=24, sets=2, rooms=3, gap=4):
    task = simple_task(people, sets, rooms, gap=gap)
    return task, plan(task, budget_seconds=0.5)


def begun(made, now=NOW):
    return [one for one in made.sets if one.start < now]


def test_nothing_moves_when_nothing_has_changed():
    task, made = task_and_plan()
    stays = begun(made)
    rest = plan(around(task, stays, NOW), previous=made)
    assert moves(made, [*stays, *rest.sets]) == []


def test_a_room_that_falls_behind_keeps_its_people_in_order():
    task, made = task_and_plan()
    stays = begun(made)
    held_up = max(one for one in stays if one.room == "1")
    stays[stays.index(held_up)] = held_up._replace(end=held_up.end + 4)
    left = around(task, stays, NOW)
    rest = plan(left, previous=made)
    assert broken_laws(left, rest) == []
    assert min(one.start for one in rest.sets if one.room == "1") == held_up.end + 4
    moved = moves([*begun(made), *made.sets[len(stays) :]], [*stays, *rest.sets])
    assert moved
    assert all(abs(move.minutes) <= 10 for move in moved)


def test_a_room_that_closes_gives_its_people_to_the_others():
    task, made = task_and_plan()
    stays = begun(made)
    left = around(task, stays, NOW, closing={"2": 564})
    rest = plan(left, previous=made)
    assert broken_laws(left, rest) == []
    assert all(one.end <= 564 for one in rest.sets if one.room == "2")
    assert {move.before.room for move in moves(made, [*stays, *rest.sets]) if move.changes_room} >= {"2"}


def test_who_is_late_speaks_later_and_who_is_gone_does_not():
    task, made = task_and_plan()
    late, gone = (one.number for one in made.sets if one.start == NOW and one.room in "12")
    left = around(task, begun(made), NOW, late={late: 575}, gone=[gone])
    rest = plan(left, previous=made)
    assert broken_laws(left, rest) == []
    assert min(one.start for one in rest.sets if one.number == late) >= 575
    dropped = [move for move in moves(made, [*begun(made), *rest.sets]) if move.after is None]
    assert {move.number for move in dropped} == {gone}


def test_a_team_mate_of_the_last_one_heard_does_not_come_next():
    task, made = task_and_plan(people=12, sets=1, rooms=1)
    team = {speaker.number: speaker.team for speaker in task.speakers}
    last = begun(made, 548)[-1]
    rest = plan(around(task, begun(made, 548), 548))
    assert team[rest.sets[0].number] != team[last.number]


@given(st.data())
@settings(deadline=None, max_examples=25)
def test_the_laws_hold_across_what_happened_and_what_is_planned_again(data):
    task, made = task_and_plan(people=data.draw(st.integers(4, 20)), gap=data.draw(st.sampled_from([0, 4, 6])))
    now = data.draw(st.integers(540, made.ends))
    stays = begun(made, now)
    late = {data.draw(st.sampled_from(made.sets)).number: now + 15}
    closing = {"3": data.draw(st.integers(now, now + 20))}
    left = around(task, stays, now, closing=closing, late=late)
    rest = plan(left, previous=made, budget_seconds=0.3)
    assert broken_laws(left, rest) == []
    both = Plan(tuple(sorted([*stays, *rest.sets])), made.bound)
    assert broken_laws(replace(task, timing=replace(task.timing, breaks=())), both) == []


def test_moves_say_who_goes_where():
    was = PlannedSet(540, "1", 101, 3, 542)
    same = PlannedSet(540, "2", 102, 3, 542)
    new = PlannedSet(544, "2", 103, 3, 546)
    now = was._replace(room="2", start=550, end=552)
    moved, added = moves([was, same], [now, same, new])
    assert (moved.number, moved.minutes, moved.changes_room) == (101, 10, True)
    assert (added.number, added.before, added.changes_room) == (103, None, False)


def test_an_empty_rest_has_an_empty_plan():
    task, made = task_and_plan(people=2, sets=1)
    rest = plan(around(task, made.sets, 600))
    assert rest.sets == ()
    assert Speaker(101, (), "team 0") == replace(around(task, made.sets, 600).speakers[0], ready=0)
