"""How often a fair contest is told of a shift, how often a shift is found, and what remedies are worth.

`python -m tests.bench.bench_fairness [--seed N] [--rounds N]`: a minute and a half of one processor. The thresholds of
`reasons.fairness` are laws of least squares and were set by no simulation, so that any seed is a fresh one.
"""

import argparse
import sys
from collections import Counter, defaultdict

import numpy as np

from reasons.fairness import Heard, Ranked, corrections, figures, verdict
from scoring.core.record import Contestant, Division, JudgingClass, ReasonsScore, Record, Rules
from scoring.core.standardising import standardised
from tests.reasons.fairness.simulated import contest

SHAPES = {
    "24 contestants, 4 classes, 2 rooms": {"people": 24},
    "60 contestants, 4 classes, 2 rooms": {"people": 60},
    "120 contestants, 4 classes, 2 rooms": {},
    "120 contestants, 6 classes, 2 rooms": {"classes": 6},
    "120 contestants, 4 classes, 3 rooms": {"rooms": 3},
    "120 contestants, 4 classes, 2 rooms of 2 officials": {"panel": 2, "noise": 1.5, "set_noise": 2.0},
}
SHIFTS = (0.0, 2.0, 3.0, -3.0)
SETS = (4, 6, 8, 12, 24, 48)
BETWEEN_OFFICIALS, STRETCH, CLASSES = 2.0, 0.15, 4


def main():
    asked = argparse.ArgumentParser()
    asked.add_argument("--seed", type=int, default=20261129)
    asked.add_argument("--rounds", type=int, default=400)
    asked = asked.parse_args()
    print(f"seed {asked.seed}, {asked.rounds} contests each")
    told_to_act(np.random.default_rng(asked.seed), asked.rounds)
    remedies(np.random.default_rng(asked.seed + 1), max(1, asked.rounds // 4))


def told_to_act(random, rounds):
    print(f"{'told to act on anybody (on the shifted official)':55}" + "".join(f"{shift:+14.0f}" for shift in SHIFTS))
    for name, shape in SHAPES.items():
        found = []
        for shift in SHIFTS:
            act = Counter()
            for _ in range(rounds):
                heard = contest(random, shift=shift, **shape)
                lists = [
                    Ranked("", frozenset(one.number for one in heard), frozenset(one.class_number for one in heard))
                ]
                advised = {official.by for official in figures(heard, lists) if "advantage" in verdict(official)}
                act.update(anybody=bool(advised), shifted=bool(advised & {"1A", "1A1"}))
            found.append(f"{act['anybody'] / rounds:.3f} ({act['shifted'] / rounds:.2f})")
        print(f"{name:55}" + "".join(f"{figure:>14}" for figure in found))
        sys.stdout.flush()


def remedies(random, rounds):
    """Points by which a score is away from what the contestant earned before a usual official, within the class."""
    print(f"{'error in points, by sets an official':40}{'given':>10}{'standardised':>14}{'corrected':>11}")
    for sets in SETS:
        errors = defaultdict(list)
        for _ in range(rounds):
            heard, earned = with_strict_and_mild(random, 2 * sets)
            added = corrections(heard)
            given = np.array([one.points for one in heard])
            ways = {
                "given": given,
                "standardised": brought_in_line(heard),
                "corrected": np.clip(given + [added[one.by] for one in heard], 0, 50),
            }
            classes = np.array([one.class_number for one in heard])
            for way, points in ways.items():
                off = points - earned
                for number in range(1, CLASSES + 1):
                    off[classes == number] -= off[classes == number].mean()
                errors[way].append((off**2).mean())
        figures_of = {way: np.sqrt(np.mean(of)) for way, of in errors.items()}
        print(f"{sets:40}{figures_of['given']:10.2f}{figures_of['standardised']:14.2f}{figures_of['corrected']:11.2f}")
        sys.stdout.flush()


def with_strict_and_mild(random, people):
    """Scores from two rooms a class, whose officials differ in level and in spread, beside what was earned."""
    heard, earned = [], []
    level = random.normal(40, 4, people)
    for number in range(1, CLASSES + 1):
        usual = level + random.normal(0, 1.5)
        room = random.permutation(people) % 2
        own, stretch = random.normal(0, BETWEEN_OFFICIALS, 2), np.exp(random.normal(0, STRETCH, 2))
        points = usual + random.normal(0, 2.5, people)
        middle = points.mean()
        given = np.clip(np.round(middle + (points - middle) * stretch[room] + own[room]), 0, 50)
        heard += [
            Heard(f"{number}{'AB'[here]}", who, number, float(much))
            for who, (here, much) in enumerate(zip(room.tolist(), given, strict=True), start=101)
        ]
        earned += points.tolist()
    return heard, np.array(earned)


def brought_in_line(heard):
    """As standardising would without its least number of sets, so that it can be seen what that is for."""
    record = Record(
        Rules("", reasons_standardised=True),
        divisions=(Division("SR", "Senior", 0),),
        classes=tuple(
            JudgingClass(number, "", ("SR",), reasons=("SR",), official="3124", cuts=(3, 5, 2))
            for number in range(1, CLASSES + 1)
        ),
        contestants=tuple(Contestant(number, "SR") for number in sorted({one.number for one in heard})),
        reasons=tuple(ReasonsScore(one.class_number, one.number, one.by, round(one.points * 100)) for one in heard),
    )
    return np.array([score.hundredths / 100 for score in standardised(record, least_sets=2)])


if __name__ == "__main__":
    main()
