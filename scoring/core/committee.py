"""A committee: what its officials each handed in for a class, held against each other, and what they might agree on.

A committee agrees on one placing and one set of cuts (UNL, UKY ASC-166), and no rule says how; so nothing here decides.
A proposal is the placing that loses the fewest points by all the officials' keys together, of every order there is. Its
cuts are the means of what the officials' cuts say of its neighbouring pairs, halves rounded to the even number, and at
least 1, since every published scale of cuts starts there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import combinations, pairwise

from scoring.core.class_picture import pairs_wrong
from scoring.core.record import JudgingClass, PanelKey, Record

FEWEST = 2
"""Officials who must have handed in before anything can be compared."""

LEAST_CONCORDANCE = Fraction(1, 2)
"""Of Kendall's W. Two officials are below it where their orders rather run against each other than with each other; of
three, where two of them correlate by less than a quarter on average (Spearman's mean rank correlation of two of m is
(m W - 1) / (m - 1), Kendall & Babington Smith 1939; from memory)."""

LARGEST_MEAN_LOSS = Fraction(1, 10)
"""Of the perfect score: what three cuts can be at the most on average, 5 of 50 (15 together: Colorado State 1.619,
Nebraska G2092). Beyond it the proposal has a clear pair the wrong way round for the average official."""


@dataclass(frozen=True, slots=True)
class PairSaid:
    """A pair as the proposal has it. `said` is what each official's cuts say of it, in points: positive for `above`
    over `below`, negative the other way round; `kept` is who has it this way round."""

    above: str
    below: str
    said: tuple[int, ...]
    kept: tuple[bool, ...]

    @property
    def is_agreed(self) -> bool:
        return len(set(self.kept)) == 1


@dataclass(frozen=True, slots=True)
class Proposal:
    """The placing that loses the fewest points, `total`, by all keys together, and its cuts.

    `alike` are other placings that lose as few; the one proposed turns the fewest pairs round, and comes first in the
    order of the labels. `next` are those that lose the next fewest, `more` points more; empty where all lose the same.
    """

    placing: str
    cuts: tuple[int, ...]
    total: int
    alike: tuple[str, ...]
    next: tuple[str, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Agreement:
    """How far officials agree: Kendall's W, of 0 to 1, and what the proposal loses by their keys on average."""

    concordance: Fraction
    mean_loss: Fraction
    most: Fraction

    @property
    def orders_agree(self) -> bool:
        return self.concordance >= LEAST_CONCORDANCE

    @property
    def points_agree(self) -> bool:
        return self.mean_loss <= self.most

    @property
    def is_reasonable(self) -> bool:
        return self.orders_agree and self.points_agree


@dataclass(frozen=True, slots=True)
class Comparison:
    """What officials handed in, side by side. `losses` are the points that each one's placing, the first index, loses
    by each one's key; `by_proposal` those that the proposal loses by each."""

    keys: tuple[PanelKey, ...]
    losses: tuple[tuple[int, ...], ...]
    pairs: tuple[PairSaid, ...]
    proposal: Proposal
    by_proposal: tuple[int, ...]
    agreement: Agreement


def compare(keys: Sequence[PanelKey], perfect: int) -> Comparison | None:
    """What the officials of one class handed in, held against each other; None of fewer than two."""
    return _compare(tuple(keys), perfect) if len(keys) >= FEWEST else None


@lru_cache(maxsize=64)
def _compare(keys: tuple[PanelKey, ...], perfect: int) -> Comparison:
    """Kept: a page that is looked at again and again asks for all classes each time."""
    depths = [_depths(key) for key in keys]
    proposal = _proposal(keys, depths)
    by_proposal = tuple(_loss(proposal.placing, depth) for depth in depths)
    mean_loss = Fraction(sum(by_proposal), len(keys))
    return Comparison(
        keys=keys,
        losses=tuple(tuple(_loss(key.placing, depth) for depth in depths) for key in keys),
        pairs=tuple(_pairs(proposal.placing, keys, depths)),
        proposal=proposal,
        by_proposal=by_proposal,
        agreement=Agreement(concordance([key.placing for key in keys]), mean_loss, perfect * LARGEST_MEAN_LOSS),
    )


def compared(record: Record) -> dict[int, Comparison]:
    """The classes of a contest that several officials have handed in for, by number."""
    made = {judged.number: compare(keys_of(record, judged), judged.perfect) for judged in record.classes}
    return {number: comparison for number, comparison in made.items() if comparison}


def keys_of(record: Record, judged: JudgingClass) -> list[PanelKey]:
    return [key for key in record.panel if key.class_number == judged.number]


def concordance(placings: Sequence[str]) -> Fraction:
    """Kendall's W of placings of the same animals: 1 where all are the same, 0 where they even each other out."""
    officials, animals = len(placings), len(placings[0])
    sums = [sum(placing.index(animal) + 1 for placing in placings) for animal in placings[0]]
    mean = Fraction(officials * (animals + 1), 2)
    spread = sum(((each - mean) ** 2 for each in sums), Fraction(0))
    return 12 * spread / (officials**2 * (animals**3 - animals))


def _depths(key: PanelKey) -> dict[str, int]:
    """How many points below the first one each animal stands by somebody's cuts."""
    return {animal: sum(key.cuts[:place]) for place, animal in enumerate(key.placing)}


def _loss(placing: str, depth: dict[str, int]) -> int:
    """A pair that stands the other way round in the key loses what lies between the two; one that does not, nothing."""
    return sum(max(depth[above] - depth[below], 0) for above, below in combinations(placing, 2))


def _proposal(keys: Sequence[PanelKey], depths: Sequence[dict[str, int]]) -> Proposal:
    animals = "".join(sorted(keys[0].placing))
    totals = _totals(animals, depths)
    fewest, *more = sorted(set(totals.values()))[:2]
    best = [placing for placing, total in totals.items() if total == fewest]
    best.sort(key=lambda placing: sum(pairs_wrong(key.placing, placing) for key in keys))  # else as the labels go
    following = [placing for placing, total in totals.items() if more and total == more[0]]
    return Proposal(
        placing=best[0],
        cuts=_cuts(best[0], depths),
        total=fewest,
        alike=tuple(best[1:]),
        next=tuple(following),
        more=more[0] - fewest if more else 0,
    )


def _totals(animals: str, depths: Sequence[dict[str, int]]) -> dict[str, int]:
    """What every order loses by all keys together. An order is added to from its first animal on, so that 40 320 orders
    of eight animals are about 110 000 additions, of what the next one loses to all that are still to come."""
    costs = [[sum(max(depth[x] - depth[y], 0) for depth in depths) for y in animals] for x in animals]
    places = range(len(animals))
    losing = [
        [sum(costs[x][y] for y in places if not placed >> y & 1) for x in places] for placed in range(1 << len(animals))
    ]
    orders = [("", 0, 0)]
    for _ in places:
        orders = [
            (order + animals[x], placed | 1 << x, total + losing[placed][x])
            for order, placed, total in orders
            for x in places
            if not placed >> x & 1
        ]
    return {order: total for order, _, total in orders}


def _cuts(placing: str, depths: Sequence[dict[str, int]]) -> tuple[int, ...]:
    """None is negative before it is raised: exchanging two neighbours of the best order would else lose less."""
    return tuple(
        max(1, round(Fraction(sum(depth[below] - depth[above] for depth in depths), len(depths))))
        for above, below in pairwise(placing)
    )


def _pairs(placing: str, keys: Sequence[PanelKey], depths: Sequence[dict[str, int]]) -> list[PairSaid]:
    return [
        PairSaid(
            above,
            below,
            tuple(depth[below] - depth[above] for depth in depths),
            tuple(key.placing.index(above) < key.placing.index(below) for key in keys),
        )
        for above, below in combinations(placing, 2)
    ]
