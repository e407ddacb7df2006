"""Invented contests whose placings are drawn round the official ones, and what goes wrong with papers and keys.

Each animal has a worth, in points: how far the cuts put it below the best. A contestant places by Plackett-Luce, which
is to order worths times skill with noise of the Gumbel distribution. Skill varies by group (seniors walk together) and
by contestant. A crowd that agrees sees the official's worths; one that does not sees others, the same for all of it: so
far off that a third of the points that it loses are lost by whoever sees as it does and never slips.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from string import ascii_uppercase

import numpy as np
from numpy.random import Generator

from scoring.core.placing import PLACINGS
from scoring.core.record import Card, Contestant, Division, JudgingClass, Record, Rules

OF_SEEING_OTHERWISE = 1 / 3
PERFECT, MOST_OF_CUTS = 50, 15
SPREAD_OF_GROUPS, SPREAD_OF_PEOPLE = 0.2, 0.5
"""Standard deviations of the logarithm of skill."""


@dataclass(frozen=True)
class Crowd:
    people: int
    classes: int
    mean: float
    """The mean score of a card."""
    agrees: bool
    in_group: int = 12
    """About as many walk together."""


def any_crowd(rng: Generator, **given: object) -> Crowd:
    """One of the stated range: 24 to 120 contestants in groups of 10 to 15, 6 to 12 classes, mean score 38 to 46."""
    crowd = Crowd(
        people=int(rng.integers(24, 121)),
        classes=int(rng.integers(6, 13)),
        mean=float(rng.uniform(38, 46)),
        agrees=bool(rng.integers(2)),
        in_group=int(rng.integers(10, 16)),
    )
    return replace(crowd, **given)  # type: ignore[arg-type]  # its own fields


def contest(rng: Generator, crowd: Crowd) -> Record:
    """A contest with nothing wrong, both of whose readings agree."""
    cuts = np.array([_cuts(rng) for _ in range(crowd.classes)])
    worth = -np.concatenate([np.zeros((crowd.classes, 1)), np.cumsum(cuts, axis=1)], axis=1)  # of the best, second ...
    wanted = PERFECT - crowd.mean
    seen = worth
    if not crowd.agrees:
        bias = rng.standard_normal(worth.shape)
        off = _bisect(lambda size: _lost(worth, (worth + size * bias)[None]) >= wanted * OF_SEEING_OTHERWISE, 30)
        seen = worth + off * bias
    groups = max(1, round(crowd.people / crowd.in_group))
    group = np.arange(crowd.people) * groups // crowd.people
    skill = np.exp(
        SPREAD_OF_GROUPS * rng.standard_normal(groups)[group] + SPREAD_OF_PEOPLE * rng.standard_normal(crowd.people)
    )
    noise = rng.gumbel(size=(crowd.people, crowd.classes, 4))
    level = _bisect(lambda size: _lost(worth, size * skill[:, None, None] * seen + noise) <= wanted, 20)
    ranked = np.argsort(-(level * skill[:, None, None] * seen + noise), axis=2)  # official places, as each placed them
    officials = [PLACINGS[place] for place in rng.integers(len(PLACINGS), size=crowd.classes)]
    return Record(
        rules=Rules(name="Simulated"),
        divisions=(Division("ALL", "All", team_counting=3),),
        classes=tuple(
            JudgingClass(number, f"Class {number}", ("ALL",), official=official, cuts=tuple(map(int, cut)))
            for number, official, cut in zip(range(1, crowd.classes + 1), officials, cuts, strict=True)
        ),
        contestants=tuple(
            Contestant(101 + who, "ALL", role="individual", group=ascii_uppercase[group[who]])
            for who in range(crowd.people)
        ),
        cards=tuple(
            Card(number + 1, 101 + who, placing, placing)
            for who in range(crowd.people)
            for number, official in enumerate(officials)
            for placing in ["".join(official[place] for place in ranked[who, number])]
        ),
    )


def _cuts(rng: Generator) -> np.ndarray:
    while True:
        cuts = rng.integers(1, 8, size=3)
        if cuts.sum() <= MOST_OF_CUTS:
            return cuts


def _lost(worth: np.ndarray, seen: np.ndarray) -> float:
    """What a card loses, on average, of whoever orders the animals by what is seen of them."""
    lost = np.zeros(seen.shape[:2])
    for above, below in combinations(range(4), 2):
        lost += (worth[:, above] - worth[:, below]) * (seen[:, :, above] < seen[:, :, below])
    return float(lost.mean())


def _bisect(is_enough: object, most: float) -> float:
    """The least size, up to `most`, that is enough; sizes are tried by halves."""
    low, high = 0.0, most
    for _ in range(14):
        middle = (low + high) / 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)  # type: ignore[operator]  # a function
    return high


# What goes wrong. Each returns the record with it, and what was spoilt: classes, and the group of a stack.

Spoilt = tuple[Record, tuple[int, ...], str]


def key_reversed(rng: Generator, record: Record) -> Spoilt:
    return _key(rng, record, (3, 2, 1, 0))


def ends_exchanged(rng: Generator, record: Record) -> Spoilt:
    return _key(rng, record, (3, 1, 2, 0))


def neighbours(rng: Generator, record: Record, cut: int) -> Spoilt | None:
    """Two neighbours exchanged in a key whose cut is `cut`; None where no class has such a cut."""
    at = [(place, pair) for place, judged in enumerate(record.classes) for pair in range(3) if judged.cuts[pair] == cut]
    if not at:
        return None
    place, pair = at[rng.integers(len(at))]
    order = [0, 1, 2, 3]
    order[pair : pair + 2] = pair + 1, pair
    return _key(rng, record, tuple(order), place)


def stacks_swapped(rng: Generator, record: Record) -> Spoilt:
    one, other = _two_classes(rng, record)
    group = _a_group(rng, record)
    return _swapped(record, one, other, group), (one, other), group


def classes_swapped(rng: Generator, record: Record) -> Spoilt:
    one, other = _two_classes(rng, record)
    return _swapped(record, one, other, None), (one, other), ""


def upside_down(rng: Generator, record: Record) -> Spoilt:
    return some_upside_down(rng, record, 1.0)


def some_upside_down(rng: Generator, record: Record, share: float) -> Spoilt:
    """A part of a stack lay upside down."""
    judged, group = int(rng.integers(len(record.classes))) + 1, _a_group(rng, record)
    theirs = [person.number for person in record.contestants if person.group == group]
    turned = set(theirs[: round(share * len(theirs))])
    cards = []
    for card in record.cards:
        if card.class_number == judged and card.number in turned:
            card = card._replace(placing=card.placing[::-1], second=card.placing[::-1])
        cards.append(card)
    return replace(record, cards=tuple(cards)), (judged,), group


def _key(rng: Generator, record: Record, order: tuple[int, ...], place: int | None = None) -> Spoilt:
    place = int(rng.integers(len(record.classes))) if place is None else place
    judged = record.classes[place]
    assert judged.official is not None
    wrong = replace(judged, official="".join(judged.official[at] for at in order))
    classes = (*record.classes[:place], wrong, *record.classes[place + 1 :])
    return replace(record, classes=classes), (judged.number,), ""


def _two_classes(rng: Generator, record: Record) -> tuple[int, int]:
    one, other = sorted(rng.choice(len(record.classes), 2, replace=False) + 1)
    return int(one), int(other)


def _a_group(rng: Generator, record: Record) -> str:
    return str(rng.choice(sorted({person.group for person in record.contestants})))


def _swapped(record: Record, one: int, other: int, group: str | None) -> Record:
    theirs = {person.number for person in record.contestants if group in (None, person.group)}
    there = {one: other, other: one}
    cards = tuple(
        card._replace(class_number=there[card.class_number])
        if card.class_number in there and card.number in theirs
        else card
        for card in record.cards
    )
    return replace(record, cards=cards)
