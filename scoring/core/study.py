"""A contest looked back on: how each class was placed, what it told, and what another cut would have changed. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations, repeat
from math import lcm, sqrt
from operator import add, ne
from statistics import correlation, fmean

from scoring.core.common import placings_of
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE, JudgingClass, Record
from scoring.core.reliability import Reliability, reliability, separation
from scoring.core.result import OVERALL, Result
from scoring.core.tally import class_table

SMALL_CUT = 2
"""A cut with which half of the contestants could logically switch the pair (University of Illinois, in the facts of
the trade: most officials would not, but half of the contestants could)."""

EVERYBODY = ""


@dataclass(frozen=True, slots=True)
class PairStudy:
    """Two animals as the officials have them. `place` counts neighbours from the best, from 0; None for others."""

    above: str
    below: str
    cut: int
    place: int | None
    turned: int
    cards: int

    @property
    def percent(self) -> int:
        """Of 100 cards, how many had the pair the other way round."""
        return round(Fraction(100 * self.turned, self.cards)) if self.cards else 0

    @property
    def could_switch(self) -> bool:
        return self.place is not None and self.cut <= SMALL_CUT


@dataclass(frozen=True, slots=True)
class ClassStudy:
    """A class in one division, or for EVERYBODY: who gave which placing, and what that says of the class.

    `deviation` is of the scores themselves, not an estimate; `separation` is the item-rest correlation.
    """

    judged: JudgingClass
    division: str
    placings: Counter[str]
    mean: float
    deviation: float
    separation: float | None
    pairs: tuple[PairStudy, ...]

    @property
    def cards(self) -> int:
        return self.placings.total()

    @property
    def as_official(self) -> int:
        return self.placings[self.judged.official or ""]

    @property
    def hardest(self) -> PairStudy | None:
        """The pair that most had the other way round, the dearer of equals; None where nobody lost one."""
        turned = [pair for pair in self.pairs if pair.turned]
        return max(turned, key=lambda pair: (pair.turned, pair.cut), default=None)


@dataclass(frozen=True, slots=True)
class CutStudy:
    """One cut a point smaller or larger, and whose rank overall it would have changed, before ties are broken."""

    class_number: int
    animals: int
    place: int
    cut: int
    other: int
    moved: int
    people: int
    new_first: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OfficialsStudy:
    """Sets of a class that several officials heard: how far each two of them were apart, in points."""

    class_number: int
    sets: int
    mean_difference: float
    most: float
    correlation: float | None


@dataclass(frozen=True, slots=True)
class Study:
    """`classes` are of EVERYBODY first, then by division; `reliabilities` by division, of those that have one."""

    classes: tuple[ClassStudy, ...]
    reliabilities: dict[str, Reliability]
    cuts: tuple[CutStudy, ...]
    officials: tuple[OfficialsStudy, ...]

    def of(self, number: int, division: str = EVERYBODY) -> ClassStudy | None:
        found = (study for study in self.classes if (study.judged.number, study.division) == (number, division))
        return next(found, None)


def study(record: Record, result: Result) -> Study:
    """Everything that can be said of a contest that is over."""
    scores = {
        division.code: {
            int(column.item.removeprefix("class:")): [float(points) for points in column.points]
            for column in result.scores
            if column.division == division.code and column.item.startswith("class:")
        }
        for division in record.divisions
    }
    reliabilities = {code: reliability(list(by_class.values())) for code, by_class in scores.items()}
    return Study(
        classes=tuple(_classes(record, scores)),
        reliabilities={code: known for code, known in reliabilities.items() if known},
        cuts=tuple(_cuts(record, result)),
        officials=tuple(_officials(record)),
    )


def _classes(record: Record, scores: dict[str, dict[int, list[float]]]) -> Iterator[ClassStudy]:
    division_of = {person.number: person.division for person in record.contestants if person.present}
    for judged in record.classes:
        if not judged.counts_cards:
            continue
        counting = judged.counting_divisions
        placed = [
            (division_of[card.number], card.placing)
            for card in record.cards
            if card.class_number == judged.number
            and division_of.get(card.number) in counting
            and card.placing not in (NO_CARD, UNREADABLE)
        ]
        told = {code: _separation(scores[code], judged.number) for code in counting}
        alone = told[counting[0]] if len(record.divisions) == 1 else None
        yield _class_study(record, judged, EVERYBODY, [placing for _, placing in placed], alone)
        for code in counting if len(record.divisions) > 1 else ():
            yield _class_study(record, judged, code, [placing for of, placing in placed if of == code], told[code])


def _separation(by_class: dict[int, list[float]], number: int) -> float | None:
    return separation(list(by_class.values()), list(by_class).index(number))


def _class_study(
    record: Record, judged: JudgingClass, division: str, placed: Sequence[str], told: float | None
) -> ClassStudy:
    table = class_table(judged, record.rules)
    points = [table[placing] for placing in placed]
    placings = placings_of(placed)
    return ClassStudy(
        judged,
        division,
        placings,
        fmean(points) if points else 0.0,
        _spread(points),
        told,
        tuple(pairs_of(judged, placings)),
    )


def _spread(points: Sequence[int]) -> float:
    """The standard deviation of a whole class, 0 where there is nobody."""
    many, total = len(points), sum(points)
    return sqrt(many * sum(point * point for point in points) - total * total) / many if many else 0.0


def pairs_of(judged: JudgingClass, placings: Counter[str]) -> Iterator[PairStudy]:
    """Every pair as the officials have it, and on how many cards it was turned round. The class must have its key."""
    assert judged.official is not None and judged.cuts is not None
    for first, second in combinations(range(len(judged.official)), 2):
        above, below = judged.official[first], judged.official[second]
        yield PairStudy(
            above,
            below,
            sum(judged.cuts[first:second]),
            first if second == first + 1 else None,
            sum(count for placing, count in placings.items() if placing.index(above) > placing.index(below)),
            placings.total(),
        )


def _cuts(record: Record, result: Result) -> Iterator[CutStudy]:
    """Each cut one point smaller and larger. Totals alone are compared, so a tie is a shared rank in both."""
    scale, totals = _whole_totals(result)
    cards: dict[int, dict[int, str]] = {judged.number: {} for judged in record.classes}
    for card in record.cards:
        cards[card.class_number][card.number] = card.placing
    ranks = {code: _ranks(rows.values()) for code, rows in totals.items()}
    firsts = {code: _firsts(rows) for code, rows in ranks.items()}
    for judged in record.classes:
        if not judged.counts_cards or judged.cuts is None:
            continue
        before = class_table(judged, record.rules)
        counting = [code for code in totals if code in judged.counting_divisions]
        given = {code: list(map(cards[judged.number].get, totals[code], repeat(NO_CARD))) for code in counting}
        placings = {NO_CARD}.union(*given.values())
        for place, cut in enumerate(judged.cuts):
            for other in (cut - 1, cut + 1):
                if other < 0:
                    continue
                cuts = tuple(other if at == place else kept for at, kept in enumerate(judged.cuts))
                after = class_table(replace(judged, cuts=cuts), record.rules)
                gains = {card: scale * (after[card] - before[card]) for card in placings}
                now = {
                    code: _ranks(list(map(add, totals[code].values(), map(gains.__getitem__, given[code]))))
                    for code in counting
                }
                yield CutStudy(
                    judged.number,
                    len(judged.animals),
                    place,
                    cut,
                    other,
                    sum(sum(map(ne, rows, ranks[code])) for code, rows in now.items()),
                    sum(map(len, now.values())),
                    tuple(code for code, rows in now.items() if _firsts(rows) != firsts[code]),
                )


def _whole_totals(result: Result) -> tuple[int, dict[str, dict[int, int]]]:
    """The totals overall by division and number, in parts of a point so small that all of them are whole; and how many
    such parts a point has."""
    standings = [standing for standing in result.of_everybody if standing.code == OVERALL]
    scale = lcm(*(row.total.denominator for standing in standings for row in standing.individuals))
    return scale, {
        standing.division: {row.number: int(scale * row.total) for row in standing.individuals}
        for standing in standings
    }


def _ranks(totals: Collection[int]) -> list[int]:
    """In step with them; equal totals share a rank."""
    ordered = sorted(totals, reverse=True)
    places = dict(zip(reversed(ordered), range(len(ordered), 0, -1), strict=True))  # the first of equals comes last
    return list(map(places.__getitem__, totals))


def _firsts(ranks: list[int]) -> list[int]:
    """Where in the list those of the first rank stand."""
    return [at for at, rank in enumerate(ranks) if rank == 1]


def _officials(record: Record) -> Iterator[OfficialsStudy]:
    heard: dict[int, dict[int, list[float]]] = {}
    for score in record.reasons:
        heard.setdefault(score.class_number, {}).setdefault(score.number, []).append(score.hundredths / HUNDREDTHS)
    for judged in record.classes:
        sets = [points for points in heard.get(judged.number, {}).values() if len(points) > 1]
        pairs = [pair for points in sets for pair in combinations(points, 2)]
        if not pairs or judged.void:
            continue
        apart = [abs(one - other) for one, other in pairs]
        firsts, seconds = zip(*pairs, strict=True)
        told = len(pairs) > 2 and len(set(firsts)) > 1 and len(set(seconds)) > 1
        yield OfficialsStudy(
            judged.number, len(sets), fmean(apart), max(apart), correlation(firsts, seconds) if told else None
        )
