"""How good timetables of reasons are, and how soon: `python -m tests.bench.bench_planning`.

Each line: the contest, the lower bound, how far the first and the last plan are from it, and the seconds to each; then
what planning again in the middle of the day moves.
"""

import time
from dataclasses import replace
from random import Random

from reasons.planning import around, lower_bound, moves, on_deck, plan
from tests.reasons.planning.examples import broken_laws, simple_task

BUDGET = 20


def main():
    lunch = [(720, 780)]
    cases = {
        "300 x 4 sets, 8 rooms": simple_task(300, 4, 8, gap=10),
        "300 x 4 sets, 8 rooms, a room keeps a class": simple_task(300, 4, 8, gap=10, keep=True),
        "300 x 4 sets, 8 rooms, no rests": simple_task(300, 4, 8),
        "300 x 4 sets, 8 rooms, 30 minutes of rest, lunch": simple_task(300, 4, 8, gap=30, breaks=lunch),
        "301 x 4 sets, 7 rooms, a room keeps a class": simple_task(301, 4, 7, gap=20, keep=True),
        "300 x 4 sets, 30 rooms": simple_task(300, 4, 30, gap=10),
        "300 x 4 sets, 30 rooms, keep, 20 minutes of rest": simple_task(300, 4, 30, gap=20, keep=True),
        "60 x 6 sets, 12 rooms, keep": simple_task(60, 6, 12, gap=10, keep=True),
        "300 x 4 sets, 8 rooms, teams of 100": simple_task(300, 4, 8, gap=10, team_size=100),
        "300 x 4 sets, 8 rooms, two teams, keep": simple_task(300, 4, 8, gap=10, team_size=150, keep=True),
        "300 of 1 to 4 sets, 8 rooms": uneven(300, 4, 8),
        "120 of 1 to 8 sets, 16 rooms, keep": uneven(120, 8, 16, keep=True),
        "29 of 1 to 4 sets, 5 rooms, keep": uneven(29, 4, 5, keep=True),
        "300 x 4 sets, 8 rooms, one team": simple_task(300, 4, 8, gap=10, team_size=300),
        "300 x 4 sets, 8 rooms, 10 hours of rest": simple_task(300, 4, 8, gap=600),
        "300 x 4 sets, 1 room": simple_task(300, 4, 1, gap=10),
    }
    for name, task in cases.items():
        shown(name, task)
    task = cases["300 x 4 sets, 8 rooms"]
    made = plan(task)
    now = made.sets[len(made.sets) // 3].start + 1
    late = next(one.number for one in made.sets if one.start > now + 10)
    again("nothing has happened", task, made, now)
    again("a room is 6 minutes behind", task, made, now, behind=6)
    again("a room closes", task, made, now, closing={"3": now})
    again("somebody comes 30 minutes late", task, made, now, late={late: now + 40})
    again("somebody goes home", task, made, now, gone=[late])


def uneven(people, most, rooms, keep=False):
    random = Random(7)  # the same contest each time
    task = simple_task(people, most, rooms, gap=10, keep=keep)
    speakers = (
        replace(one, classes=tuple(sorted(random.sample(one.classes, random.randint(1, most)))))
        for one in task.speakers
    )
    return replace(task, speakers=tuple(speakers))


def shown(name, task):
    steps = []
    began = time.perf_counter()
    made = plan(task, budget_seconds=BUDGET, on_better=lambda one: steps.append((time.perf_counter() - began, one)))
    took = time.perf_counter() - began
    assert broken_laws(task, made) == []
    first_after, first = steps[0]
    began = time.perf_counter()
    lower_bound(task)
    floor = time.perf_counter() - began
    print(
        f"{name}: bound {made.bound.slots} slots; first plan +{first.over} min after {first_after:.2f} s; "
        f"plan +{made.over} min, {made.following} follow, {took:.2f} s (the bound alone {1000 * floor:.0f} ms)"
    )


def again(what, task, made, now, behind=0, **changes):
    stays = [one._replace(end=one.end + behind) if one.room == "3" else one for one in made.sets if one.start < now]
    before = [one for one in made.sets if one.start >= now]
    called = [one for room in task.rooms for one in [one for one in before if one.room == room.name][:2]]
    began = time.perf_counter()
    kept = {name: value for name, value in changes.items() if name != "gone"}
    held = on_deck(task, stays, called, now, **kept)
    left = around(task, [*stays, *held], now, **changes)
    rest = plan(left, previous=made, budget_seconds=BUDGET)
    took = time.perf_counter() - began
    assert broken_laws(left, rest) == []
    moved = moves(before, [*held, *rest.sets])
    print(
        f"{what}: +{rest.over} min, {took:.2f} s; of {len(before)} sets {len(moved)} move, "
        f"{sum(move.changes_room for move in moved)} to another room; "
        f"{len(held)} of {len(called)} at the doors stay"
    )


if __name__ == "__main__":
    main()
