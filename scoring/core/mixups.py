"""Keys and stacks that the cards say were mixed up, though each card by itself may be right.

Five tests, each of what the cards are against what they would be if the slip had happened: the natural logarithm of how
much likelier that makes them. A test tells from its limit on, `LIMITS`; those were set by `tests.bench.mixups`, on
simulated contests in which nothing was wrong, so that all tests together name at most one thing in five of them. They
look at classes of four animals, whatever their labels: of other numbers it is not known how a crowd sees them.
Whatever fits best, measured by its limit, explains its class or stack, and nothing else is said of that.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import combinations
from math import exp, log
from operator import mul
from typing import Literal, NamedTuple, TypeAlias

from scoring.core.crowd import (
    Counts,
    Seen,
    losses,
    pulls_of_key,
    rank_sums,
    ranks_by_key,
    sharpness_of,
)
from scoring.core.placing import ANIMALS, PLACINGS
from scoring.core.record import JudgingClass, Record

Kind: TypeAlias = Literal["reversed", "ends", "neighbours", "classes", "stacks", "elsewhere", "turned", "some"]

LIMITS: dict[Kind, float] = {
    "reversed": 2.3,
    "ends": 2.3,
    "neighbours": 5.5,
    "classes": 5.0,
    "stacks": 6.3,
    "elsewhere": 6.5,
    "turned": 4.4,
    "some": 4.6,
}
SURE: dict[Kind, float] = {
    "reversed": 8.2,
    "ends": 7.8,
    "neighbours": 8.5,
    "classes": 13.3,
    "stacks": 15.8,
    "elsewhere": 9.1,
    "turned": 13.2,
    "some": 10.0,
}
"""From here on it is as sure as cards can say: a fifth beyond the most that any contest said that set the limits."""

KEY_SLIPS: tuple[tuple[Kind, tuple[int, ...]], ...] = (
    ("reversed", (3, 2, 1, 0)),
    ("ends", (3, 1, 2, 0)),
    ("neighbours", (1, 0, 2, 3)),
    ("neighbours", (0, 2, 1, 3)),
    ("neighbours", (0, 1, 3, 2)),
)
"""How a key may have been typed, as places of the right one."""

FEWEST_OF_CLASS = 8
"""Cards from which on a class says something about its key."""

FEWEST_CLASSES = 3
"""Other classes from which on it is known how far a crowd sees animals otherwise than officials do."""

FEWEST_IN_STACK = 5
FEWEST_BESIDE = 8
"""Cards of other groups from which on it is known how a class is placed."""

FEWEST_TURNED = 3
SHARE_TURNED = 0.3
"""Of a stack in which some lay upside down, for the test; the cards are then told one by one."""

TAILS = 4
"""Degrees of freedom of the distribution that ranks stray by: a few may stray far."""
STRAY_BEFORE = 0.05
"""The variance that they are taken to stray by, in ranks, before any class is seen; it weighs as much as one class."""

_TURNED = tuple(PLACINGS.index(placing[::-1]) for placing in PLACINGS)


class Fit(NamedTuple):
    """So many cards that are read as those of a class: their points as things stand, and if the slip is mended."""

    number: int
    cards: int
    now: int
    mended: int


@dataclass(frozen=True, slots=True)
class Mixup:
    """One finding. `classes` are one or two; `group` is the stack's, and empty where all of a class is meant.

    `better` is the placing that the cards say the key should have, in the class's own labels; `numbers` are whose cards
    lay upside down.
    """

    kind: Kind
    classes: tuple[int, ...]
    group: str
    fits: tuple[Fit, ...]
    sure: bool
    better: str = ""
    numbers: tuple[int, ...] = ()


class Found(NamedTuple):
    """What a test says before it is made into words: `better` as of `Mixup`, as if the animals were 1 to 4."""

    kind: Kind
    classes: tuple[int, ...]
    group: str
    value: float
    better: str = ""

    @property
    def beyond(self) -> float:
        """How far the value is beyond the limit, which is the higher the more often chance makes such a thing."""
        return self.value - LIMITS[self.kind]


def mixups(record: Record) -> list[Mixup]:
    """What looks mixed up in a contest, the strongest first; of each class and stack the best explanation alone."""
    look = Look(record)
    return [look.in_full(found) for found in look.told()]


def mixup_of_stack(record: Record, number: int, group: str, cards: Mapping[int, str]) -> Mixup | None:
    """What looks wrong with one stack as somebody reads it: `cards` are the placings by contestant. It is held against
    the other groups' cards alone, whatever else was read of it."""
    if not group:
        return None
    look = Look(record, {(number, group): cards})
    told = (found for found in look.of_stack(number, group) if found.beyond >= 0 and look.gains_points(found))
    found = max(told, key=lambda found: found.beyond, default=None)
    return look.in_full(found) if found else None


class Look:
    """One look at a record: the cards of those who are present, by stack, and how each class is placed."""

    def __init__(self, record: Record, instead: Mapping[tuple[int, str], Mapping[int, str]] | None = None) -> None:
        self.classes = {judged.number: judged for judged in record.classes if _is_known(judged)}
        groups = {person.number: person.group for person in record.contestants if person.present}
        self.cards: defaultdict[tuple[int, str], dict[int, int]] = defaultdict(dict)
        places = {number: _places_of(judged.animals) for number, judged in self.classes.items()}
        nowhere: dict[str, int] = {}
        for number, who, placing, _second in record.cards:
            place = places.get(number, nowhere).get(placing)
            if place is not None and who in groups:
                self.cards[number, groups[who]][who] = place
        for stack, cards in (instead or {}).items():
            if of := places.get(stack[0]):
                self.cards[stack] = {who: of[placing] for who, placing in cards.items() if placing in of}
        self.stacks = {stack: _counted(cards.values()) for stack, cards in self.cards.items()}
        self.whole = {number: [0] * len(PLACINGS) for number in self.classes}
        for (number, _group), counts in self.stacks.items():
            self.whole[number] = [one + other for one, other in zip(self.whole[number], counts, strict=True)]
        self._known: dict[tuple[int, str], list[float] | None] = {}
        self.lost = {number: losses(*_key(judged)) for number, judged in self.classes.items()}

    @cached_property
    def sharpness(self) -> float:
        return sharpness_of(
            [(_key(judged)[1], self.whole[number], self.lost[number]) for number, judged in self.classes.items()]
        )

    def found(self) -> Iterator[Found]:
        """Every test, whatever it says."""
        yield from self._keys()
        groups: defaultdict[str, list[int]] = defaultdict(list)
        for number, group in self.stacks:
            if group:
                groups[group].append(number)
        for group, numbers in groups.items():
            for number in numbers:
                yield from self._turned(number, group)
            yield from self._exchanged(group, numbers)

    def told(self) -> list[Found]:
        """What reaches its limit, the strongest first; of what is about the same cards that alone."""
        explained: set[tuple[int, str]] = set()
        chosen = []
        for found in sorted(self.found(), key=lambda found: -found.beyond):
            if found.beyond < 0:
                break
            stacks = {stack for stack in self.stacks if stack[0] in found.classes and found.group in ("", stack[1])}
            if not stacks & explained and self.gains_points(found):
                explained |= stacks
                chosen.append(found)
        return chosen

    def gains_points(self, found: Found) -> bool:
        """Whether the cards would score more if the slip were mended, as everybody would expect who is told of it."""
        fits = list(self._fits(found, self._whose(found)))
        return sum(fit.mended for fit in fits) > sum(fit.now for fit in fits)

    def of_stack(self, number: int, group: str) -> Iterator[Found]:
        """Those of one stack."""
        if (number, group) in self.stacks:
            yield from self._turned(number, group)
            yield from self._elsewhere(number, group, self.classes)

    # Keys: whether the mean ranks of the animals fit another key better. How far they stray from keys elsewhere in the
    # contest says how much that means.

    def _keys(self) -> Iterator[Found]:
        numbers = [number for number, counts in self.whole.items() if sum(counts) >= FEWEST_OF_CLASS]
        ranks = {
            number: [ranks / sum(self.whole[number]) for ranks in rank_sums(self.whole[number])] for number in numbers
        }
        by_key = {number: ranks_by_key(*_key(self.classes[number]), self.sharpness) for number in numbers}
        stray = {number: _squares(ranks[number], by_key[number]) for number in numbers}
        total, animals = sum(stray.values()), 4

        def variance(*without: int) -> float:
            others = total - sum(stray[number] for number in without)
            return (others / animals + STRAY_BEFORE) / (len(numbers) - len(without) + 1)

        if len(numbers) <= FEWEST_CLASSES:
            return
        best: dict[int, Found] = {}
        for number in numbers:
            official, cuts = _key(self.classes[number])
            spread = variance(number)
            as_it_is = _misfit(ranks[number], by_key[number], spread)
            slips: list[Found] = []
            for kind, places in KEY_SLIPS:
                better = "".join(official[place] for place in places)
                value = as_it_is - _misfit(ranks[number], ranks_by_key(better, cuts, self.sharpness), spread)
                slips.append(Found(kind, (number,), "", value, better))
            best[number] = max(slips, key=lambda slip: slip.value)
            yield best[number]
        for one, other in combinations(numbers, 2):
            if not self._alike(one, other):
                continue
            spread = variance(one, other)
            gains = [
                _misfit(ranks[this], by_key[this], spread) - _misfit(ranks[this], by_key[that], spread)
                for this, that in ((one, other), (other, one))
            ]
            if min(gains) > 0 and sum(gains) > max(best[one].value, 0) + max(best[other].value, 0):
                yield Found("classes", (one, other), "", sum(gains))

    def _alike(self, one: int, other: int) -> bool:
        """Whether two classes have animals of the same labels: else neither keys nor cards pass for the other's."""
        return self.classes[one].animals == self.classes[other].animals

    # Stacks: whether the cards of one are likelier of another class, or from last to first, by what the other groups'
    # cards are.

    @cached_property
    def _seen(self) -> dict[int, Seen]:
        return {
            number: Seen(pulls_of_key(*_key(judged), self.sharpness), self.whole[number])
            for number, judged in self.classes.items()
        }

    def _logs(self, number: int, group: str) -> list[float] | None:
        """The logarithms of the placings' probabilities by the cards of other groups; None of too few."""
        if (number, group) not in self._known:
            own = self.stacks.get((number, group), ())
            enough = sum(self.whole[number]) - sum(own) >= FEWEST_BESIDE
            self._known[number, group] = self._seen[number].log_chances(own) if enough else None
        return self._known[number, group]

    def _turned(self, number: int, group: str) -> Iterator[Found]:
        counts, logs = self.stacks[number, group], self._logs(number, group)
        if logs is None or sum(counts) < FEWEST_IN_STACK:
            return
        gains = [(count, logs[_TURNED[place]] - logs[place]) for place, count in enumerate(counts) if count]
        yield Found("turned", (number,), group, sum(count * gain for count, gain in gains))
        if sum(count for count, gain in gains if _is_turned(gain)) >= FEWEST_TURNED:
            some = sum(count * log(1 - SHARE_TURNED + SHARE_TURNED * exp(gain)) for count, gain in gains)
            yield Found("some", (number,), group, some)

    def _gains(self, number: int, group: str, others: Iterable[int]) -> Iterator[tuple[int, float]]:
        """How much likelier the cards of a stack are of each other class."""
        counts, own = self.stacks[number, group], self._logs(number, group)
        if own is None or sum(counts) < FEWEST_IN_STACK:
            return
        cards = [(place, count) for place, count in enumerate(counts) if count]
        as_it_is = sum([count * own[place] for place, count in cards])
        for other in others:
            if other != number and self._alike(number, other) and (there := self._logs(other, group)) is not None:
                yield other, sum([count * there[place] for place, count in cards]) - as_it_is

    def _exchanged(self, group: str, numbers: list[int]) -> Iterator[Found]:
        gains = {(number, other): gain for number in numbers for other, gain in self._gains(number, group, numbers)}
        for (one, other), gain in gains.items():
            if one < other and (other, one) in gains:
                yield Found("stacks", (one, other), group, gain + gains[other, one])
        empty = [other for other in self.classes if (other, group) not in self.stacks]
        for number in numbers if empty else ():
            yield from self._elsewhere(number, group, empty)

    def _elsewhere(self, number: int, group: str, others: Iterable[int]) -> Iterator[Found]:
        for other, gain in self._gains(number, group, others):
            yield Found("elsewhere", (number, other), group, gain)

    def in_full(self, found: Found) -> Mixup:
        """The finding with its evidence."""
        numbers = self._whose(found)
        fits = tuple(self._fits(found, numbers))
        sure = found.value >= SURE[found.kind]
        labels = str.maketrans(ANIMALS, self.classes[found.classes[0]].animals)
        return Mixup(found.kind, found.classes, found.group, fits, sure, found.better.translate(labels), tuple(numbers))

    def _whose(self, found: Found) -> list[int]:
        """Whose cards lay upside down."""
        if found.kind not in ("turned", "some"):
            return []
        stack = found.classes[0], found.group
        logs, cards = self._logs(*stack), sorted(self.cards[stack].items())
        assert logs is not None
        return [who for who, place in cards if found.kind == "turned" or _is_turned(logs[_TURNED[place]] - logs[place])]

    def _fits(self, found: Found, numbers: list[int]) -> Iterator[Fit]:
        this, that = found.classes[0], found.classes[-1]
        ways = ((this, that), (that, this)) if found.kind in ("classes", "stacks") else ((this, that),)
        for one, other in ways:
            counts = self.stacks[one, found.group] if found.group else self.whole[one]
            if numbers:
                counts = _counted(self.cards[one, found.group][who] for who in numbers)
            lost: Sequence[int] = self.lost[other]
            if found.better:
                lost = losses(found.better, _key(self.classes[one])[1])
            elif numbers:
                lost = [self.lost[one][turned] for turned in _TURNED]
            yield Fit(one, sum(counts), self._points(one, counts, self.lost[one]), self._points(other, counts, lost))

    def _points(self, number: int, counts: Counts, lost: Sequence[int]) -> int:
        points: int = self.classes[number].perfect * sum(counts) - sum(map(mul, counts, lost))
        return points


def _key(judged: JudgingClass) -> tuple[str, tuple[int, ...]]:
    """A class's key as if its animals were 1 to 4."""
    assert judged.official is not None and judged.cuts is not None
    return judged.official.translate(str.maketrans(judged.animals, ANIMALS)), judged.cuts


@cache
def _places_of(animals: str) -> dict[str, int]:
    """Each placing of four animals, under their own labels, with its place in `PLACINGS`."""
    labels = str.maketrans(ANIMALS, animals)
    return {placing.translate(labels): place for place, placing in enumerate(PLACINGS)}


def _is_known(judged: JudgingClass) -> bool:
    """Whether it is known how a crowd places such a class: it counts, and has four animals, whatever their labels."""
    return judged.counts_cards and len(judged.animals) == len(ANIMALS)


def _counted(places: Iterable[int]) -> list[int]:
    counts = [0] * len(PLACINGS)
    for place in places:
        counts[place] += 1
    return counts


def _is_turned(gain: float) -> bool:
    return gain > log((1 - SHARE_TURNED) / SHARE_TURNED)


def _squares(ranks: Iterable[float], expected: Iterable[float]) -> float:
    return sum((one - other) ** 2 for one, other in zip(ranks, expected, strict=True))


def _misfit(ranks: Iterable[float], expected: Iterable[float], variance: float) -> float:
    """Minus the logarithm of how likely ranks are that stray so far, but for a constant."""
    return sum(
        (TAILS + 1) / 2 * log(1 + (one - other) ** 2 / (TAILS * variance))
        for one, other in zip(ranks, expected, strict=True)
    )


def _mean_ranks(counts: Sequence[int]) -> list[float]:
    return [ranks / sum(counts) for ranks in rank_sums(counts)]
