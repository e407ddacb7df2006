"""What the tests for mix-ups are worth, on simulated contests.

    python -m tests.bench.mixups limits     what each test says of contests with nothing wrong: sets LIMITS and SURE
    python -m tests.bench.mixups clean      how many things are told of contests with nothing wrong
    python -m tests.bench.mixups desk       the same at the desk, at the end of every stack of a day
    python -m tests.bench.mixups slips      what is found of slips
    python -m tests.bench.mixups speed      processor time of one look

`limits` has seeds of its own, and the others never touch them.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.random import Generator

from scoring.core.mixups import LIMITS, Look, Mixup, mixup_of_stack, mixups
from scoring.core.record import Record
from tests.bench.mixups import simulate
from tests.bench.mixups.simulate import Crowd, Spoilt, any_crowd, contest

SETS_LIMITS, FRESH = 101, 2_000
"""First numbers of seeds."""

BANDS = (38, 41, 43.5, 46)
"""Mean scores: those of three bands, each up to the next."""

KEY_KINDS = ("reversed", "ends", "neighbours")


def limits(contests: int, seed: int) -> None:
    values: defaultdict[str, list[float]] = defaultdict(list)
    for rng, crowd in crowds(contests, seed):
        most: dict[str, float] = {}
        for found in Look(contest(rng, crowd)).found():
            most[found.kind] = max(found.value, most.get(found.kind, -99))
        for kind in LIMITS:
            values[kind].append(most.get(kind, -99))
    print("| test | 95 % | 97 % | 98 % | 99 % | 99.5 % | most |\n|---|---|---|---|---|---|---|")
    for kind, said in values.items():
        print(f"| {kind} |", " | ".join(f"{q:.1f}" for q in np.quantile(said, [0.95, 0.97, 0.98, 0.99, 0.995, 1])), "|")


def clean(contests: int, seed: int) -> None:
    told: defaultdict[tuple[bool, int], list[int]] = defaultdict(list)
    kinds: Counter[str] = Counter()
    for rng, crowd in crowds(contests, seed):
        found = mixups(contest(rng, crowd))
        told[cell(crowd)].append(len(found))
        kinds.update(f"{one.kind}{', sure' * one.sure}" for one in found)
    table("things told a clean contest", told)
    every = [count for counts in told.values() for count in counts]
    print(f"all: {np.mean(every):.3f}; contests told anything: {np.mean([count > 0 for count in every]):.3f};", end=" ")
    print(f"more than one thing: {np.mean([count > 1 for count in every]):.4f}; of {len(every)}: {dict(kinds)}")


def desk(contests: int, seed: int) -> None:
    told: defaultdict[tuple[bool, int], list[int]] = defaultdict(list)
    most: defaultdict[str, list[float]] = defaultdict(list)
    for rng, crowd in crowds(contests, seed):
        record = contest(rng, crowd)
        of_stack = by_stack(record)
        groups = sorted({group for _number, group in of_stack})
        read: list[tuple[int, str]] = []
        count = 0
        best: dict[str, float] = {}
        for turn in range(crowd.classes):
            for place, group in enumerate(groups):
                stack = (place + turn) % crowd.classes + 1, group
                cards = [card for one in read for card in of_stack[one]]
                so_far = replace(record, cards=tuple(cards))
                placings = {card.number: card.placing for card in of_stack[stack]}
                count += mixup_of_stack(so_far, *stack, placings) is not None
                for found in Look(so_far, {stack: placings}).of_stack(*stack):
                    best[found.kind] = max(found.value, best.get(found.kind, -99))
                read.append(stack)
        told[cell(crowd)].append(count)
        for kind in ("turned", "some", "elsewhere"):
            most[kind].append(best.get(kind, -99))
    table("questions at the desk in the whole day of a clean contest", told)
    print(f"all: {np.mean([count for counts in told.values() for count in counts]):.3f}")
    for kind, said in most.items():
        print(kind, np.round(np.quantile(said, [0.9, 0.95, 0.97, 0.98, 1]), 1))


def slips(contests: int, seed: int, only: str = "") -> None:
    for name, (spoil, is_found) in SLIPS.items():
        if only not in name:
            continue
        told: defaultdict[tuple[bool, int], list[int]] = defaultdict(list)
        besides = []
        for rng, crowd in crowds(contests, seed):
            record = contest(rng, crowd)
            spoilt = spoil(rng, record)
            if spoilt is not None:
                found = mixups(spoilt[0])
                right = [one for one in found if is_found(one, spoilt)]
                told[cell(crowd)].append(bool(right))
                besides.append(len(found) - len(right))
        table(name, told)
        upper = [one for (_agrees, band), some in told.items() if band >= BANDS[1] for one in some]
        every = [one for some in told.values() for one in some]
        print(f"all: {np.mean(every):.3f}; from {BANDS[1]} up: {np.mean(upper):.3f}; besides: {np.mean(besides):.3f}\n")


def speed(contests: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    record = contest(rng, Crowd(people=120, classes=12, mean=42, agrees=True, in_group=15))
    took = []
    for _look in range(max(contests, 20)):
        before = time.process_time()
        mixups(record)
        took.append(1000 * (time.process_time() - before))
    print(f"one look at 120 x 12: first {took[0]:.1f} ms of processor time, median {np.median(took):.1f} ms")


def crowds(contests: int, seed: int):
    for number in range(contests):
        rng = np.random.default_rng([seed, number])
        yield rng, any_crowd(rng)


def cell(crowd: Crowd) -> tuple[bool, int]:
    return crowd.agrees, max(band for band in BANDS[:-1] if band <= crowd.mean)


def by_stack(record: Record):
    groups = {person.number: person.group for person in record.contestants}
    stacks = defaultdict(list)
    for card in record.cards:
        stacks[card.class_number, groups[card.number]].append(card)
    return stacks


def table(name: str, told: dict[tuple[bool, int], list[int]]) -> None:
    print(
        f"| {name} |",
        " | ".join(f"{one} to {other}" for one, other in pairwise(BANDS)),
        "|\n|---|" + "---|" * (len(BANDS) - 1),
    )
    for agrees, words in ((True, "agrees"), (False, "does not agree")):
        means = (told.get((agrees, band), []) for band in BANDS[:-1])
        print(f"| {words} |", " | ".join(f"{np.mean(some):.2f}" if some else "" for some in means), "|")


def _key(found: Mixup, spoilt: Spoilt) -> bool:
    """Whether it is the class's key that is to be typed again, whichever placing fits it best."""
    return found.kind in KEY_KINDS and found.classes == spoilt[1]


def _stack(*kinds: str) -> Callable[[Mixup, Spoilt], bool]:
    return lambda found, spoilt: found.kind in kinds and found.classes == spoilt[1] and found.group == spoilt[2]


def _exchanged(least: int, most: int) -> Callable[[Generator, Record], Spoilt | None]:
    return lambda rng, record: simulate.neighbours(rng, record, int(rng.integers(least, most + 1)))


SLIPS = {
    "key reversed": (simulate.key_reversed, _key),
    "ends of a key exchanged": (simulate.ends_exchanged, _key),
    "neighbours exchanged in a key, cut 5 to 7": (_exchanged(5, 7), _key),
    "neighbours exchanged in a key, cut 3 or 4": (_exchanged(3, 4), _key),
    "neighbours exchanged in a key, cut 1 or 2": (_exchanged(1, 2), _key),
    "two classes swapped": (simulate.classes_swapped, _stack("classes")),
    "a group's stacks of two classes swapped": (simulate.stacks_swapped, _stack("stacks")),
    "a stack upside down": (simulate.upside_down, _stack("turned", "some")),
    "half a stack upside down": (
        lambda rng, record: simulate.some_upside_down(rng, record, 0.5),
        _stack("turned", "some"),
    ),
}


if __name__ == "__main__":
    what = {"limits": limits, "clean": clean, "desk": desk, "slips": slips, "speed": speed}
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("what", choices=what)
    parser.add_argument("--contests", type=int, default=1000)
    parser.add_argument("--seed", type=int)
    given = parser.parse_args()
    seed = given.seed or (SETS_LIMITS if given.what == "limits" else FRESH)
    what[given.what](given.contests, seed)
