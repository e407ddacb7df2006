"""The demo's contestants on paper: what they hand in, drawn from what they can, and what that is worth.

Of the random generator only `random()` is used: Python promises its sequence for a seed across versions, and promises
no such thing for the other methods.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random
from typing import TypeVar

from scoring.core.placing import PLACINGS, grid
from scoring.core.record import HUNDREDTHS, Contestant, JudgingClass
from scoring.core.tally import class_table
from tests.demo_setting import (
    CATEGORIES,
    CLASSES,
    DIFFICULTY,
    GENEROSITY,
    HEARD_BY_BOTH,
    INDIVIDUAL_TIES,
    OFFICIALS,
    PARTS,
    RULES,
)

UNITS = 2 * HUNDREDTHS
"""Points are counted in halves of a hundredth here, so that the mean of two officials stays whole."""

CLASS_OF = {judged.number: judged for judged in CLASSES}
PART_OF = {part.code: part for part in PARTS}
COUNTED = {judged.number: class_table(judged, RULES) for judged in CLASSES if judged.counts_placing}

Chosen = TypeVar("Chosen")


class Dice:
    """Everything drawn by chance, from one seed."""

    def __init__(self, seed: int) -> None:
        self.roll = Random(seed).random

    def below(self, end: int) -> int:
        return int(self.roll() * end)

    def choice(self, options: Sequence[Chosen]) -> Chosen:
        return options[self.below(len(options))]

    def sample(self, options: Sequence[Chosen], count: int) -> list[Chosen]:
        left = list(options)
        return [left.pop(self.below(len(left))) for _ in range(count)]

    def bell(self) -> float:
        """Roughly a standard normal number, between -6 and 6."""
        return sum(self.roll() for _ in range(12)) - 6

    def weighted(self, options: Sequence[Chosen], weights: Sequence[float]) -> Chosen:
        left = self.roll() * sum(weights)
        for option, weight in zip(options, weights, strict=True):
            left -= weight
            if left < 0:
                return option
        return options[-1]


@dataclass
class Person:
    """A contestant with a skill between 0 and 1, and the paper handed in. Reasons and marks are in hundredths."""

    contestant: Contestant
    skill: float
    cards: dict[int, str] = field(default_factory=dict)
    reasons: dict[tuple[int, str], int] = field(default_factory=dict)
    marks: dict[str, int] = field(default_factory=dict)

    @property
    def number(self) -> int:
        return self.contestant.number

    def judges(self, judged: JudgingClass) -> bool:
        return self.contestant.division in judged.divisions

    def fill_in(self, dice: Dice) -> None:
        """Draw everything that the contestant's division does."""
        division = self.contestant.division
        for judged in CLASSES:
            if self.judges(judged):
                self.cards[judged.number] = self.draw_card(judged.number, dice)
        for judged in CLASSES:
            if division in judged.reasons:
                for official in self._officials(judged.number):
                    self.reasons[judged.number, official] = self.draw_reasons(official, dice)
        for part in PARTS:
            if part.scope == "individual" and division in part.divisions:
                self.marks[part.code] = self.draw_mark(part.code, dice)

    def draw_card(self, class_number: int, dice: Dice) -> str:
        """A placing; the more it loses, the less likely, and the less so the higher the skill."""
        judged = CLASS_OF[class_number]
        assert judged.official is not None and judged.cuts is not None
        # The loss that makes a placing half as likely: about 3 points for the best, 9 for the weakest.
        half = DIFFICULTY[class_number] * (2 + 9 * (1 - self.skill))
        points = dict(grid(judged.official, judged.cuts, judged.perfect))
        return dice.weighted(PLACINGS, [0.5 ** ((judged.perfect - points[placing]) / half) for placing in PLACINGS])

    def draw_reasons(self, official: str, dice: Dice) -> int:
        """A score in half points between 25 and 50."""
        points = 25 + 22 * self.skill + GENEROSITY[official] + 2.2 * dice.bell()
        return min(max(round(2 * points), 50), 100) * HUNDREDTHS // 2

    def draw_mark(self, part: str, dice: Dice) -> int:
        """Ten questions of five points, or 50 points less three for each step off in keeping and culling."""
        if part == "QUEST":
            right = sum(dice.roll() < 0.3 + 0.6 * self.skill for _ in range(10))
            return 5 * right * HUNDREDTHS
        steps_off = sum(dice.roll() > 0.3 + 0.62 * self.skill for _ in range(9))
        return (50 - 3 * steps_off) * HUNDREDTHS

    def redraw_one(self, dice: Dice) -> None:
        """Draw one card, set of reasons or mark anew; cards that are missing or cannot be read stay so."""
        cards = [number for number, placing in self.cards.items() if number in COUNTED and placing in PLACINGS]
        drawn = dice.below(len(cards) + len(self.reasons) + len(self.marks))
        if drawn < len(cards):
            self.cards[cards[drawn]] = self.draw_card(cards[drawn], dice)
        elif drawn < len(cards) + len(self.reasons):
            heard = list(self.reasons)[drawn - len(cards)]
            self.reasons[heard] = self.draw_reasons(heard[1], dice)
        else:
            part = list(self.marks)[drawn - len(cards) - len(self.reasons)]
            self.marks[part] = self.draw_mark(part, dice)

    def values(self) -> dict[str, int]:
        """What the paper is worth in every step of the individual tie order, in UNITS."""
        placings = {number: COUNTED[number][self.cards[number]] * UNITS for number in COUNTED if number in self.cards}
        heard: dict[int, list[int]] = {}
        for (class_number, _), score in self.reasons.items():
            heard.setdefault(class_number, []).append(score)
        reasons = {number: 2 * sum(scores) // len(scores) for number, scores in heard.items()}
        marks = {code: 2 * points for code, points in self.marks.items()}
        in_category = {category.code: 0 for category in CATEGORIES}
        for sheet in (placings, reasons):
            for number, points in sheet.items():
                in_category[CLASS_OF[number].category] += points
        for code, points in marks.items():
            in_category[PART_OF[code].category] += points
        return {
            "total": sum(in_category.values()),  # every class and part of this contest is in a category
            "placing": sum(placings.values()),
            "reasons": sum(reasons.values()),
            "best-class": max(placings.values()),
            "part:QUEST": marks.get("QUEST", 0),
            "class:4": placings[4],
            **{f"category:{code}": points for code, points in in_category.items()},
        }

    def _officials(self, class_number: int) -> tuple[str, ...]:
        if self.contestant.division == "SR" and class_number in HEARD_BY_BOTH:
            return OFFICIALS
        return (OFFICIALS[(self.number + class_number) % 2],)


def list_value(code: str) -> str:
    """The step whose value a list ranks by."""
    return {"overall": "total", "placing": "placing", "reasons": "reasons"}.get(code, f"category:{code}")


def individual_key(values: dict[str, int], code: str) -> list[int]:
    return [values[step] for step in (list_value(code), *INDIVIDUAL_TIES)]
