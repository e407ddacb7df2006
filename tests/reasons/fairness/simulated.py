"""Contests with known shifts of their officials, for tests and for `tests/bench/bench_fairness.py`."""

import numpy as np

from reasons.fairness import Heard

LEVEL, NOISE, CLASSES_DIFFER = 4.0, 2.5, 1.5
"""Standard deviations in points: between contestants, of one contestant from set to set, between classes."""


def contest(random, people=120, classes=4, rooms=2, shift=0.0, noise=NOISE, panel=1, set_noise=0.0):
    """Each class in rooms of its own, among which its contestants are dealt by chance; whole points between 0 and 50.

    The official `1A`, of room A of class 1, gives `shift` more. Several officials of a `panel` hear a set together and
    then share what `set_noise` did to it.
    """
    level = random.normal(40, LEVEL, people)
    heard = []
    for number, class_level in enumerate(random.normal(0, CLASSES_DIFFER, classes), start=1):
        room = random.permutation(people) % rooms
        common = level + class_level + random.normal(0, set_noise, people)
        for seat in range(panel):
            points = common + random.normal(0, noise, people)
            points += shift * ((room == 0) & (number == 1) & (seat == 0))
            points = np.clip(np.round(points), 0, 50)
            heard += [
                Heard(f"{number}{chr(65 + here)}{seat + 1 if panel > 1 else ''}", who, number, float(given))
                for who, (here, given) in enumerate(zip(room.tolist(), points, strict=True), start=101)
            ]
    return heard


def moving(random, people=24, sets=4, officials="ABCDEF", shift=0.0):
    """Officials are drawn anew for each contestant's sets, so that each hears every class; A gives so much more."""
    heard = []
    for number, level in enumerate(random.normal(40, LEVEL, people), start=101):
        for class_number in range(1, sets + 1):
            by = str(random.choice(list(officials)))
            points = level + class_number + (shift if by == "A" else 0) + random.normal(0, NOISE)
            heard.append(Heard(by, number, class_number, points))
    return heard
