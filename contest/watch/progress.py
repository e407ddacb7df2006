"""Where the reading is: every class and group counted, and how long the rest takes. Nothing here asks the database."""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple

Standing = Literal["settled", "no card", "once", "doubt", "missing"]
STANDINGS: tuple[Standing, ...] = ("doubt", "missing", "once", "settled", "no card")
"""How far one card is, what needs somebody first: nobody has read it yet, or it was read once, or it is done."""

PACE_WINDOW = 600
"""Seconds that the present pace looks back."""

FEWEST_READINGS = 5
"""With fewer readings than this in the window there is no pace to speak of."""

SHORTEST_SPAN = 60
"""Seconds; the first readings after a pause say nothing about a minute."""


class ClassRow(NamedTuple):
    """A class that has cards; `divisions` are those that judge it. With `full` points for all no card is due."""

    number: int
    name: str
    void: bool
    divisions: frozenset[int]
    full: bool = False


class PeopleRow(NamedTuple):
    """How many contestants of a division and a group are here."""

    division: int
    group: str
    count: int  # type: ignore[assignment]  # it hides what nobody asks a row for: tuple.count


class CardRow(NamedTuple):
    """How many cards of a class, a group and a state there are, with a card or without."""

    class_number: int
    group: str
    state: str
    no_card: bool
    count: int  # type: ignore[assignment]  # it hides what nobody asks a row for: tuple.count


@dataclass(frozen=True, slots=True)
class Count:
    """Cards by how far they are. `settled` leaves out those that are settled as "no card"."""

    due: int = 0
    once: int = 0
    settled: int = 0
    doubt: int = 0
    no_card: int = 0

    @property
    def missing(self) -> int:
        """Due, and not read by anybody yet."""
        return max(0, self.due - self.read)

    @property
    def read(self) -> int:
        """Read by somebody at least once, however far they are since."""
        return self.once + self.settled + self.doubt + self.no_card

    @property
    def done(self) -> int:
        return self.settled + self.no_card

    @property
    def is_done(self) -> bool:
        return self.done >= self.due > 0

    def __add__(self, other: Count) -> Count:
        return Count(
            self.due + other.due,
            self.once + other.once,
            self.settled + other.settled,
            self.doubt + other.doubt,
            self.no_card + other.no_card,
        )


@dataclass(frozen=True, slots=True)
class ClassProgress:
    """A class, with a count for every group of the contest, in the order of the groups."""

    number: int
    name: str
    void: bool
    cells: tuple[tuple[str, Count], ...]
    total: Count
    full: bool = False

    @property
    def counts(self) -> bool:
        """Whether any score rests on its cards."""
        return not self.void and not self.full


@dataclass(frozen=True, slots=True)
class ScoreProgress:
    """Something else that is read in, by class or part: sets of reasons, or marks."""

    name: str
    total: Count


@dataclass(frozen=True, slots=True)
class Estimate:
    """How long the rest takes. `minutes` is None while there is no pace, 0 when no reading is needed any more."""

    needed: int
    per_minute: float | None
    minutes: int | None


@dataclass(frozen=True, slots=True)
class Progress:
    """Everything the page shows. Classes of which no card counts are in no total."""

    groups: tuple[str, ...]
    rows: tuple[ClassProgress, ...]
    group_totals: tuple[tuple[str, Count], ...]
    total: Count
    reasons: tuple[ScoreProgress, ...] = field(default=())
    marks: tuple[ScoreProgress, ...] = field(default=())


def group_order(group: str) -> tuple[Any, ...]:
    """The key that puts groups in the order people expect: 2 before 10, and nobody's group last."""
    parts = re.split(r"(\d+)", group.casefold())
    return (group == "", [(0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts])


def count_cards(classes: Sequence[ClassRow], people: Iterable[PeopleRow], cards: Iterable[CardRow]) -> Progress:
    """The grid of class by group."""
    people = list(people)
    groups = tuple(sorted({row.group for row in people}, key=group_order))
    held: defaultdict[tuple[int, str], Counter[str]] = defaultdict(Counter)
    for card in cards:
        state = "no_card" if card.no_card and card.state == "settled" else card.state
        held[card.class_number, card.group][state] += card.count
    rows = []
    for judged in classes:
        due: Counter[str] = Counter()
        for row in people:
            if row.division in judged.divisions:
                due[row.group] += row.count
        cells = [Count(due=due[group], **held[judged.number, group]) for group in groups]
        of_group = zip(groups, cells, strict=True)
        total = sum(cells, Count())
        rows.append(ClassProgress(judged.number, judged.name, judged.void, tuple(of_group), total, judged.full))
    counting = [row.cells for row in rows if row.counts]
    totals = [sum((cells[place][1] for cells in counting), Count()) for place in range(len(groups))]
    return Progress(groups, tuple(rows), tuple(zip(groups, totals, strict=True)), sum(totals, Count()))


def count_worst(due: int, states: Iterable[tuple[Hashable, str]]) -> Count:
    """Count things that may have several scores each, such as sets of reasons, by their least settled score."""
    worst: dict[Hashable, str] = {}
    order = ("doubt", "once", "settled")
    for owner, state in states:
        if owner not in worst or order.index(state) < order.index(worst[owner]):
            worst[owner] = state
    return Count(due=due, **Counter(worst.values()))


def readings_needed(total: Count, readings_per_card: int) -> int:
    """How many readings are still to be made; a doubtful card needs a decision, not a reading."""
    return total.missing * readings_per_card + total.once * max(readings_per_card - 1, 0)


def estimate(needed: int, readings: int, seconds: float) -> Estimate:
    """The time to the last reading, at the pace of the `readings` made in the last `seconds`.

    `seconds` reaches from the first of them, at most PACE_WINDOW ago, to now. There is no pace below FEWEST_READINGS.
    """
    if needed == 0:
        return Estimate(0, None, 0)
    if readings < FEWEST_READINGS:
        return Estimate(needed, None, None)
    per_minute = readings * 60 / max(seconds, SHORTEST_SPAN)
    return Estimate(needed, per_minute, math.ceil(needed / per_minute))
