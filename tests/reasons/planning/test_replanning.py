"""Planning again in the middle of the day."""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reasons.planning import CannotPlan, Plan, PlannedSet, Speaker, around, moves, on_deck, plan
from tests.reasons.planning.exact import ends_in, least
from tests.reasons.planning.examples import broken_laws, simple_task

NOW = 560


def task_and_plan(people=24, sets=2, rooms=3, gap=4):
    task = simple_task(people, sets, rooms, gap=gap)
    return task, plan(task, budget_seconds=0.5)


def begun(made, now=NOW):
    return [one for one in made.sets if one.start < now]


@pytest.mark.parametrize("now", [NOW, NOW + 1])
def test_nothing_moves_when_nothing_has_changed(now):
    task, made = task_and_plan()
    stays = begun(made, now)
    rest = plan(around(task, stays, now), previous=made)
    assert moves(made, [*stays, *rest.sets]) == []


def test_of_a_room_that_falls_behind_only_those_move_who_must():
    task, made = task_and_plan()
    stays = begun(made)
    held_up = max(one for one in stays if one.room == "1")
    stays[stays.index(held_up)] = held_up._replace(end=held_up.end + 4)
    left = around(task, stays, NOW)
    rest = plan(left, previous=made)
    assert broken_laws(left, rest) == []
    assert min(one.start for one in rest.sets if one.room == "1") == held_up.end + 4
    moved = moves([*begun(made), *made.sets[len(stays) :]], [*begun(made), *rest.sets])
    assert {move.number for move in moved} >= {
        one.number for one in made.sets if NOW <= one.start < NOW + 4 if one.room == "1"
    }
    assert len(moved) <= 3


@pytest.mark.parametrize("seed", range(20))
def test_as_few_move_as_whole_number_programming_finds(seed):
    random = Random(seed)
    people, sets, rooms = random.randint(4, 9), random.choice([1, 2, 2]), random.choice([2, 3])
    task = simple_task(people, sets, rooms, gap=random.choice([0, 2, 4]), team_size=0)
    made = plan(task, budget_seconds=1)
    now = 542
    stays, rest = begun(made, now), [one for one in made.sets if one.start >= now]
    happens = (behind, late, gone)[seed % 3](stays, rest)
    left = around(task, stays, now, **happens)
    again = plan(left, previous=made)
    moved = [move for move in moves(rest, again.sets) if move.before and move.after]
    assert broken_laws(left, again) == []
    assert (ends_in(again, left.timing), len(moved)) == least(left, rest)


def behind(stays, rest):
    stays[-1] = stays[-1]._replace(end=stays[-1].end + 4)
    return {}


def late(stays, rest):
    return {"late": {rest[0].number: 550}}


def gone(stays, rest):
    return {"gone": [rest[0].number]}


def test_a_room_that_closes_gives_its_people_to_the_others():
    task, made = task_and_plan()
    stays = begun(made)
    left = around(task, stays, NOW, closing={"2": 564})
    rest = plan(left, previous=made)
    assert broken_laws(left, rest) == []
    assert all(one.end <= 564 for one in rest.sets if one.room == "2")
    assert {move.before.room for move in moves(made, [*stays, *rest.sets]) if move.changes_room} >= {"2"}


def test_hardly_anybody_but_the_people_of_a_room_that_closes_moves():
    task, made = task_and_plan(people=100, rooms=5)
    stays = begun(made)
    rest = plan(around(task, stays, NOW, closing={"3": NOW}), previous=made)
    displaced = [one for one in made.sets if one.room == "3" and one not in stays]
    moved = moves(made, [*stays, *rest.sets])
    assert {(one.number, one.class_number) for one in displaced} <= {(one.number, one.class_number) for one in moved}
    assert len(moved) <= len(displaced) + 5
    assert rest.over == 0


def test_one_who_is_late_moves_two_at_most():
    task, made = task_and_plan(people=60, rooms=4)
    late = next(one.number for one in made.sets if one.start == NOW + 4)
    left = around(task, begun(made), NOW, late={late: NOW + 20})
    rest = plan(left, previous=made)
    assert broken_laws(left, rest) == []
    assert rest.ends == made.ends
    assert len({move.number for move in moves(made, [*begun(made), *rest.sets])}) <= 2


def test_who_waits_at_a_door_keeps_room_and_turn():
    task, made = task_and_plan()
    stays = begun(made)
    called = [one for one in made.sets if NOW <= one.start < NOW + 4]
    held_up = max(one for one in stays if one.room == "1")
    behind = [one._replace(end=one.end + 4) if one == held_up else one for one in stays]
    held = on_deck(task, behind, called, NOW)
    assert sorted((one.room, one.number) for one in held) == sorted((one.room, one.number) for one in called)
    assert [one.start for one in held if one.room == "1"] == [held_up.end + 4, held_up.end + 6]
    assert [one for one in held if one.room != "1"] == [one for one in called if one.room != "1"]


def test_who_waits_at_the_door_of_a_room_that_closes_or_is_late_does_not_stay():
    task, made = task_and_plan()
    called = [one for one in made.sets if NOW <= one.start < NOW + 4]
    assert {one.room for one in on_deck(task, begun(made), called, NOW, closing={"2": NOW})} == {"1", "3"}
    late = called[0].number
    assert late not in {one.number for one in on_deck(task, begun(made), called, NOW, late={late: NOW + 30})}
    only_twos = replace(task, rooms=tuple(replace(room, classes=frozenset({2})) for room in task.rooms))
    assert {one.class_number for one in on_deck(only_twos, begun(made), called, NOW)} <= {2}


def test_a_break_that_covers_the_rest_of_the_day_is_said_so():
    task, made = task_and_plan()
    until_midnight = replace(task, timing=replace(task.timing, breaks=((NOW, 1440),)))
    with pytest.raises(CannotPlan, match="between 09:20 and midnight"):
        around(until_midnight, begun(made), NOW)


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
    called = [one for one in made.sets if now <= one.start < now + 4]
    held = on_deck(task, stays, called, now, closing=closing, late=late)
    left = around(task, [*stays, *held], now, closing=closing, late=late)
    rest = plan(left, previous=made, budget_seconds=0.3)
    assert broken_laws(left, rest) == []
    both = Plan(tuple(sorted([*stays, *held, *rest.sets])), made.bound)
    assert broken_laws(task, both) == []
    assert all(one.end <= closing["3"] for one in [*held, *rest.sets] if one.room == "3")
    assert all(one.start >= late.get(one.number, 0) for one in [*held, *rest.sets])
    assert {(one.room, one.number) for one in held} <= {(one.room, one.number) for one in called}


def test_moves_say_who_goes_where():
    was = PlannedSet(540, "1", 101, 3, 542)
    same = PlannedSet(540, "2", 102, 3, 542)
    new = PlannedSet(544, "2", 103, 3, 546)
    now = was._replace(room="2", start=550, end=552)
    moved, added = moves([was, same], [now, same, new])
    assert (moved.number, moved.minutes, moved.changes_room) == (101, 10, True)
    assert (added.number, added.before, added.minutes, added.changes_room) == (103, None, 0, False)


def test_an_empty_rest_has_an_empty_plan():
    task, made = task_and_plan(people=2, sets=1)
    rest = plan(around(task, made.sets, 600))
    assert rest.sets == ()
    assert Speaker(101, (), "team 0") == replace(around(task, made.sets, 600).speakers[0], ready=0)


def test_a_move_to_another_room_at_the_same_time_is_named():
    was = PlannedSet(540, "1", 101, 3, 542)
    (move,) = moves([was], [was._replace(room="2")])
    assert (move.number, move.minutes, move.changes_room) == (101, 0, True)
    (later,) = moves([was], [was._replace(start=544, end=546)])
    assert (later.minutes, later.changes_room) == (4, False)
    assert moves([was], [was._replace(end=543)]) == []


def test_who_was_called_rests_before_a_second_set_that_was_called():
    task = simple_task(4, 2, 2, gap=4)
    first, second = PlannedSet(540, "1", 101, 1, 542), PlannedSet(542, "2", 101, 2, 544)
    assert on_deck(task, [], [first, second], 540) == [first]
    rested = second._replace(start=546, end=548)
    assert on_deck(task, [], [first, rested], 540) == [first, rested]
    assert on_deck(task, [first], [second], 541) == []
    assert on_deck(task, [first], [rested], 541) == [rested]


def test_who_was_called_is_heard_up_to_the_minute_at_which_the_room_closes():
    task = simple_task(4, 1, 1)
    called = [PlannedSet(540, "1", 101, 1, 542), PlannedSet(542, "1", 102, 1, 544)]
    assert on_deck(task, [], called, 540, closing={"1": 544}) == called
    assert on_deck(task, [], called, 540, closing={"1": 543}) == called[:1]


def test_who_was_heard_is_not_called_again():
    task = simple_task(4, 1, 2)
    heard = PlannedSet(540, "1", 101, 1, 542)
    assert on_deck(task, [heard], [heard._replace(room="2", start=542, end=544)], 542) == []


def test_what_is_left_begins_when_the_last_set_has_ended_and_with_its_team():
    task = simple_task(8, 1, 3)
    task = replace(task, rooms=(*task.rooms[:2], replace(task.rooms[2], last_team="team 1", closes=600)))
    heard = [PlannedSet(540, "1", 101, 1, 542), PlannedSet(542, "1", 105, 1, 550)]
    left = around(task, heard, 544, closing={"2": 560, "3": 620})
    assert [room.opens for room in left.rooms] == [550, 544, 544]
    assert [room.last_team for room in left.rooms] == ["team 1", "", "team 1"]
    assert [room.closes for room in left.rooms] == [None, 560, 600]
    assert [speaker.classes for speaker in left.speakers[:2]] == [(), (1,)]
    assert (left.timing.start, left.timing.prepare) == (544, 0)
    rests = around(replace(task, timing=replace(task.timing, gap=3)), heard, 544, late={105: 551, 106: 570})
    assert [speaker.ready for speaker in rests.speakers[4:7]] == [553, 570, 0]


def test_a_break_late_in_the_day_does_not_matter_where_nobody_is_left():
    task = simple_task(1, 1, 1, breaks=[(560, 1440)])
    heard = [PlannedSet(540, "1", 101, 1, 542)]
    assert around(task, heard, 560).sets == 0
    with pytest.raises(CannotPlan):
        around(task, [], 560)
