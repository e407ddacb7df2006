"""A large invented contest for the benchmarks, the same for the same seed."""

import random

from scoring.core.placing import PLACINGS
from scoring.core.record import (
    Card,
    Category,
    Contestant,
    Division,
    JudgingClass,
    Mark,
    Part,
    ReasonsScore,
    Record,
    Rules,
)

CLASSES = 12
REASONS_CLASSES = 4
OFFICIALS = 2
DIVISIONS = ("JR", "IN", "SR")
CATEGORIES = ("BREED", "MARKET")


def large_record(contestants: int, seed: int = 1) -> Record:
    """`contestants` in three divisions and teams of four, 12 classes, four with reasons heard by two officials."""
    rng = random.Random(seed)
    numbers = rng.sample(range(1, 10 * contestants), contestants)
    people = tuple(
        Contestant(
            number=number,
            division=DIVISIONS[position % len(DIVISIONS)],
            team=f"Team {position // 12:04}",
            first_name="First",
            last_name="Last",
            group="ABCD"[position % 4],
        )
        for position, number in enumerate(numbers)
    )
    classes = tuple(
        JudgingClass(
            number=number,
            name=f"Class {number}",
            divisions=DIVISIONS,
            category=CATEGORIES[number % 2],
            reasons=DIVISIONS if number <= REASONS_CLASSES else (),
            official=rng.choice(PLACINGS),
            cuts=(rng.randint(1, 5), rng.randint(1, 5), rng.randint(1, 5)),
        )
        for number in range(1, CLASSES + 1)
    )
    return Record(
        rules=Rules(name=f"{contestants} contestants"),
        divisions=tuple(Division(code, code, team_counting=3) for code in DIVISIONS),
        categories=tuple(Category(code, code) for code in CATEGORIES),
        classes=classes,
        parts=(Part("QUEST", "Questions", DIVISIONS, 50, "individual"),),
        individual_ties=("reasons", "class:3", "placing", "best-class"),
        team_ties=("reasons", "class:3", "left-out"),
        contestants=people,
        cards=tuple(
            Card(judged.number, number, placing, placing)
            for judged in classes
            for number in numbers
            for placing in (rng.choice(PLACINGS),)
        ),
        reasons=tuple(
            ReasonsScore(class_number, number, official, 50 * rng.randint(50, 100))
            for class_number in range(1, REASONS_CLASSES + 1)
            for number in numbers
            for official in "AB"
        ),
        marks=tuple(Mark("QUEST", 100 * rng.randint(0, 50), number=number) for number in numbers),
    )
