"""Equal tasks give equal plans, today as yesterday: whoever changes the planner sees here which plans that changes.

The laws and the bounds are held elsewhere; these are signs of the very timetables. Where a change is meant, and the
figures beside each sign (slots, who follows a team-mate, plans shown on the way; moved, when planned again) say that it
is for the better, print them anew: `python -m tests.reasons.planning.test_same_plans`.
"""

import hashlib
from itertools import count
from random import Random
from types import SimpleNamespace

import pytest

from reasons.planning import (
    CannotPlan,
    Room,
    Speaker,
    Task,
    Timing,
    around,
    keep_classes,
    moves,
    on_deck,
    plan,
    planner,
)
from tests.reasons.planning.examples import clock, simple_task

PLANS = {
    0: ("77580f816a", 22, 0, 1, "a74c446b5f", 0),
    1: ("2fae2cd7eb", 11, 0, 1, "26daec3c93", 0),
    2: ("ac0bce9a3a", 2, 0, 1, "1f21b4d60d", 0),
    3: ("0fe8e45d98", 2, 0, 1, "536ece1971", 1),
    4: ("a385bde59f", 3, 0, 1, "acd6e3c0d9", 2),
    5: ("b1c7845bae", 22, 0, 1, "f2d2ce80dd", 1),
    6: ("0606419ff1", 4, 0, 2, "7c9ae6e48f", 0),
    7: ("8b797ac147", 2, 0, 1, "a414410ae7", 4),
    8: ("661ee7b7c2", 4, 0, 2, "9361b5b3d9", 1),
    9: ("c230b5c9f1", 6, 0, 1, "39fc09e3c6", 1),
    10: ("543733bd1c", 49, 11, 1, "fe447b4a14", 0),
    11: ("23c36ac3fa", 12, 0, 1, "102cb0d119", 0),
    12: ("0c44836795", 9, 0, 1, "008974b97e", 0),
    13: ("96e711b93f", 9, 1, 1, "493b2ab750"),
    14: ("901114ccba", 8, 0, 1, "4af6b7e576", 0),
    15: ("e7824ea95c", 2, 0, 1, "914c2049ba", 0),
    16: ("11b1f0fe43", 26, 1, 2, "505e51adb5", 2),
    17: ("9e5d6eb74a", 32, 0, 1, "f30232a141", 5),
    18: ("15c6911f6a", 7, 3, 1, "583732b1b8", 3),
    19: ("64ef9638c6", 7, 0, 1, "7798577d54", 1),
    20: ("990949f95a", 38, 0, 1, "85d7c49f6d", 0),
    21: ("91a18f5d8d", 11, 0, 1, "b17096faa7", 4),
    22: ("7c561757a2", 12, 0, 1, "77effee578", 5),
    23: ("049eedc944", 55, 14, 2, "1ca6fb936c", 5),
    24: ("f3711acbcb", 19, 0, 2, "70b9957789", 1),
    25: ("484c3f13b4", 14, 0, 3, "49f2d45433"),
    26: ("91f733a720", 37, 0, 2, "7826fbb217", 3),
    27: ("454a4ba09a", 17, 5, 1, "1e764916e9", 1),
    28: ("11d8623120", 32, 13, 3, "fe269e8a24"),
    29: ("2bfa5996e5", 26, 0, 2, "bf22d3d92d", 1),
    30: ("9cea2d4a09", 40, 0, 3, "4dc2bff802", 0),
    31: ("3670a847c1", 20, 0, 3, "df873e45c9", 47),
    32: ("3c68086792", 21, 0, 2, "e7172c13dd", 1),
    33: ("92af15579b", 29, 0, 2, "6c70bc543c", 1),
    34: ("25dfefd9ea", 14, 0, 1, "19c74408cf", 3),
    35: ("105410416c", 18, 37, 1, "c9363f64f9", 0),
    36: ("d0caadb324", 41, 0, 4, "0a5b3a90b0", 0),
    37: ("7b6a73ad3a", 30, 0, 3, "489002922d"),
    38: ("6b706abf5f", 31, 0, 3, "12afa68204", 2),
    39: ("5ca1f41b3b", 12, 0, 1, "4b4ac81cf0", 5),
}

EASY = 24
TIGHT = [  # people, sets, rooms, minutes between, a room keeps its classes, size of a team: not solved at once
    (14, 3, 3, 12, True, 5),
    (14, 3, 4, 6, True, 5),
    (14, 4, 6, 20, True, 2),
    (14, 2, 3, 12, True, 9),
    (14, 4, 3, 12, True, 9),
    (9, 4, 6, 12, True, 5),
    (9, 4, 3, 20, True, 2),
    (20, 4, 6, 6, True, 9),
    (20, 3, 4, 12, True, 9),
    (20, 3, 4, 20, True, 5),
    (20, 2, 3, 0, False, 9),
    (20, 2, 3, 20, False, 20),
    (30, 4, 4, 20, True, 9),
    (30, 4, 4, 12, True, 5),
    (30, 2, 3, 20, True, 9),
    (12, 3, 3, 0, False, 0),
]


def task_of(seed):
    """A contest's reasons: the higher the seed, the more people, rooms and trouble; the last are the tight ones."""
    if seed >= EASY:
        return simple_task(*(asked := TIGHT[seed - EASY])[:3], gap=asked[3], keep=asked[4], team_size=asked[5])
    random = Random(seed)
    classes = range(1, random.randint(1, 2 + seed // 8) + 1)
    teams = ["", *"abcdefgh"[: random.randint(1, 6)]]
    comes = [0] * 6 + [random.randint(541, 570)]
    people = tuple(
        Speaker(number, tuple(c for c in classes if random.random() < 0.8), random.choice(teams), random.choice(comes))
        for number in range(1, random.randint(2, 4 + seed) + 1)
    )
    many = random.randint(1, 2 + seed // 8)
    owed = {c: sum(c in speaker.classes for speaker in people) for c in classes}
    kept = keep_classes(owed, many) if seed % 4 == 1 and many >= len(classes) else [None] * many
    rooms = [
        Room(str(place), hears, random.choice([0, 0, 550]), None, random.choice(["", "", *teams]))
        for place, hears in enumerate(kept, start=1)
    ]
    if seed % 3 == 0:  # one more that closes early
        rooms.append(Room("short", frozenset({1}), 0, random.randint(545, 580)))
    breaks = random.choice([(), (), ((550, 561),), ((541, 543), (560, 571))])
    gap = random.choice([0, 0, 2, 4, 10]) if seed % 5 else 40
    return Task(people, tuple(rooms), Timing(540, random.choice([2, 3]), gap, random.choice([0, 5]), breaks))


def sign(*told):
    return hashlib.sha256(repr(told).encode()).hexdigest()[:10]


def outcome(seed):
    task, random = task_of(seed), Random(seed)
    shown = []
    try:
        made = plan(task, seed=seed, budget_seconds=0.5, on_better=shown.append)
    except CannotPlan as problem:
        return sign(str(problem))
    figures = len(clock(task, made.ends)), made.following, len(shown)
    first = sign(made.sets, made.bound, made.proved, [one.sets for one in shown])
    now = random.randint(541, made.ends)
    stays = [one for one in made.sets if one.start < now]
    if stays and seed % 2:
        stays[-1] = stays[-1]._replace(end=stays[-1].end + random.randint(1, 9))  # a room is behind
    late = {random.choice(task.speakers).number: now + random.randint(0, 25)}
    closing = (
        {random.choice(task.rooms).name: now + random.randint(0, 10)} if seed % 3 == 1 and len(task.rooms) > 1 else {}
    )
    called = [one for one in made.sets if now <= one.start < now + 2 * task.timing.minutes]
    held = on_deck(task, stays, called, now, closing=closing, late=late)
    try:
        left = around(task, [*stays, *held], now, closing=closing, late=late)
        again = plan(left, seed=seed, budget_seconds=0.5, previous=made)
    except CannotPlan as problem:
        return first, *figures, sign(held, str(problem))
    moved = moves(made, [*stays, *held, *again.sets])
    return first, *figures, sign(held, left, again.sets, again.bound, again.proved, moved), len(moved)


@pytest.mark.parametrize("seed", PLANS)
def test_an_equal_task_gives_the_plan_that_it_gave(seed):
    assert outcome(seed) == PLANS[seed]


if __name__ == "__main__":
    from tests.reasons.planning.conftest import ASKED

    ticks = count()
    planner.time = SimpleNamespace(monotonic=lambda: ASKED * next(ticks))
    for seed in range(EASY + len(TIGHT)):
        print(f"    {seed}: {outcome(seed)!r},")
