"""A contest with a reasons day: two rooms, two officials, two classes, and as many seniors as asked for."""

from datetime import time

from reasons.day.changing import put_in_force, save_room, set_day
from reasons.day.timetable import Wishes, first_draft, planning_of
from reasons.models import ReasonsDay
from reasons.scores.officials import add_official
from tests.factories import ClassFactory, ContestantFactory, a_contest

HOURS = {
    "starts_at": time(9),
    "minutes_per_set": 2,
    "minutes_to_prepare": 10,
    "minutes_between_sets": 4,
    "breaks": [],
    "components": [],
}


def make_draft(contest, wishes, seconds=3):
    return first_draft(planning_of(contest, wishes), seconds)


def reasons_contest(people=8, rooms=2, classes=(3, 4), hours=None):
    contest = a_contest(
        classes=tuple(ClassFactory(number=n, name=f"Class of {n}", reasons=("SR",)) for n in classes),
        contestants=tuple(ContestantFactory(number=101 + place, team=f"Team {place % 4}") for place in range(people)),
        cards=(),
    )
    set_day(contest, "test", **{**HOURS, **(hours or {})})
    for name in range(1, rooms + 1):
        save_room(contest, None, str(name), [add_official(contest, f"Official {name}", "test")], False, "test")
    return contest


def planned_contest(**more):
    contest = reasons_contest(**more)
    put_in_force(contest, make_draft(contest, Wishes()), "test")
    return contest


def day(contest):
    return ReasonsDay.objects.get(contest=contest)


def first_room(contest):
    room = contest.rooms.first()
    return room, room.officials.first()
