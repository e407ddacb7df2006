"""Crowded contests from a seeded generator: full teams and so few different values that every tie step decides often.

Hypothesis finds the odd small contest; these find what takes many contestants with nearly the same card.
"""

from __future__ import annotations

from random import Random

from scoring.core.placing import PLACINGS
from scoring.core.record import (
    NO_CARD,
    UNREADABLE,
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

CATEGORIES = ("HAL", "PERF")
STEPS = ("total", "reasons", "placing", "best-class", "class:1", "class:2", "class:3", "class:4")
STEPS += ("category:HAL", "category:PERF", "part:QUEST", "part:TEAM")


def crowded_contest(seed: int) -> Record:
    random = Random(seed)
    divisions = tuple(
        Division(
            code,
            code,
            team_counting=random.choice((0, 2, 3, 3)),
            short_team=random.choice(("zero", "unranked")),
            counting_members=random.choice(("fixed", "each")),
        )
        for code in ("SR", "JR")
    )
    classes = tuple(_class(random, number) for number in range(1, 5))
    parts = (
        Part(
            "QUEST", "Questions", random.choice((("JR",), ("JR", "SR"))), 50, "individual", random.choice(("", "HAL"))
        ),
        Part("TEAM", "Team work", random.choice((("SR",), ("JR", "SR"))), 50, "team", random.choice(("", "PERF"))),
    )
    people = tuple(_contestant(random, number) for number in random.sample(range(1, 100), 22))
    pool = random.sample(PLACINGS, 3)
    cards, reasons, marks = [], [], []
    for person in people:
        for judged in classes:
            if judged.places and person.division in judged.divisions and random.random() < 0.95:
                placing = random.choice(pool) if random.random() < 0.93 else random.choice((NO_CARD, UNREADABLE))
                cards.append(Card(judged.number, person.number, placing))
            if person.division in judged.reasons:
                for official in "ABC"[: random.choice((1, 1, 2, 3))]:
                    reasons.append(ReasonsScore(judged.number, person.number, official, random.choice((4300, 4400))))
        if person.division in parts[0].divisions and random.random() < 0.8:
            marks.append(Mark("QUEST", random.choice((4000, 4100)), number=person.number))
    for division, team in sorted({(c.division, c.team) for c in people if c.team}):
        if division in parts[1].divisions and random.random() < 0.8:
            marks.append(Mark("TEAM", random.choice((4000, 4100)), division=division, team=team))
    return Record(
        Rules(
            f"Crowded contest {seed}",
            negative_scores=random.choice(("keep", "zero")),
            unreadable_card=random.choice(("zero", "lowest")),
            reasons_in_category=random.random() < 0.6,
        ),
        divisions,
        tuple(Category(code, code) for code in CATEGORIES),
        classes,
        parts,
        tuple(random.sample(STEPS, random.choice((0, 2, 3, 4)))),
        # `left-out` often: it is the one step that no individual has
        tuple(random.sample((*STEPS, "left-out"), 3)) if random.random() < 0.6 else ("left-out", random.choice(STEPS)),
        people,
        tuple(cards),
        tuple(reasons),
        tuple(marks),
    )


def _class(random: Random, number: int) -> JudgingClass:
    divisions = random.choice((("SR", "JR"), ("SR", "JR"), ("SR",), ("JR",)))
    waiting = random.random() < 0.1
    return JudgingClass(
        number,
        f"Class {number}",
        divisions,
        category=random.choice(("", *CATEGORIES, *CATEGORIES)),
        places=random.random() < 0.9,
        reasons=divisions if random.random() < 0.3 else (),
        official=None if waiting else random.choice(PLACINGS),
        cuts=None if waiting else random.choice(((2, 2, 2), (2, 5, 3), (3, 9, 3))),
        void=random.random() < 0.1,
    )


def _contestant(random: Random, number: int) -> Contestant:
    team = random.choice(("Red", "Red", "Blue", "Blue", "Oak", "Oak", "Elm", ""))
    return Contestant(
        number,
        random.choice(("SR", "SR", "JR")),
        team,
        role="member" if team else "individual",
        present=random.random() < 0.95,
    )
