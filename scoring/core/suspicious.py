"""What looks wrong though nothing forbids it: for somebody to look at before results are announced.

The figures that part the odd from the usual are our own, chosen so that contests of people who looked at the animals
show few of them or none.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from scoring.core.placing import PAIRS, PLACINGS, grid, is_placing
from scoring.core.record import HUNDREDTHS, NO_CARD, JudgingClass, Record

FEWEST_CARDS = 5
"""Cards from which an average says something about a key."""

FEWEST_ALIKE = 3
"""Classes in which team-mates have the same card, and not the official placing, before that is remarkable."""

FEWEST_OTHERS = 4
"""Other classes from which it can be told how somebody places."""

WORST, NEVER = 90, 50
"""Hundredths of what the full reversal loses: a card that loses so much is odd of somebody who never lost more
elsewhere than NEVER, which is what placing blindly loses on average."""

FAR_FROM_MEDIAN = 20 * HUNDREDTHS
"""Points, in hundredths, that a reasons score may be away from the median of its class and official."""


@dataclass(frozen=True, slots=True)
class Hard:
    """A class whose cards lose, in points on average, at least as much as placing blindly would."""

    number: int
    cards: int
    lost: Fraction
    blind: Fraction


@dataclass(frozen=True, slots=True)
class Rare:
    """A class whose official placing is on fewer of its cards than placing blindly would give."""

    number: int
    given: int
    cards: int


@dataclass(frozen=True, slots=True)
class Alike:
    """Members of a team, all of them or some, whose cards are the same in every class."""

    division: str
    team: str
    members: tuple[int, ...]
    whole_team: bool
    classes: int


class OddCards:
    """Looks through the cards of those who are present, in the classes that count."""

    def __init__(self, record: Record) -> None:
        present = {contestant.number for contestant in record.contestants if contestant.present}
        self._classes = [judged for judged in record.classes if judged.counts_placing]
        self._given: dict[int, dict[int, str]] = {judged.number: {} for judged in self._classes}
        for card in record.cards:
            if card.class_number in self._given and card.number in present and is_placing(card.placing):
                self._given[card.class_number][card.number] = card.placing
        self._losses = {judged.number: _losses(judged) for judged in self._classes}

    def no_better_than_blind(self) -> list[Hard]:
        """The classes whose key may have been typed wrong.

        Of all 24 placings each pair is the wrong way round in half, so placing blindly loses half of what the full
        reversal loses. People who looked at the animals lose less, whatever the cuts are.
        """
        hard = []
        for judged in self._classes:
            losses, cards = self._losses[judged.number], Counter(self._given[judged.number].values())
            blind = Fraction(max(losses.values()), 2)
            if blind and cards.total() >= FEWEST_CARDS:
                lost = Fraction(sum(losses[placing] * count for placing, count in cards.items()), cards.total())
                if lost >= blind:
                    hard.append(Hard(judged.number, cards.total(), lost, blind))
        return hard

    def rarely_given(self) -> list[Rare]:
        """The classes whose official placing almost nobody gave, so that two animals may have changed places in it."""
        rare = []
        for judged in self._classes:
            cards = self._given[judged.number]
            right = sum(placing == judged.official for placing in cards.values())
            if len(cards) >= len(PLACINGS) and right * len(PLACINGS) < len(cards):
                rare.append(Rare(judged.number, right, len(cards)))
        return rare

    def reversed_cards(self) -> dict[int, list[int]]:
        """By class, whose card is the official placing from last to first: the stack may have lain upside down."""
        turned = {}
        for judged in self._classes:
            assert judged.official is not None
            backwards = judged.official[::-1]
            if people := sorted(who for who, card in self._given[judged.number].items() if card == backwards):
                turned[judged.number] = people
        return turned

    def far_out(self) -> dict[int, list[int]]:
        """By class, whose card loses nearly everything though they placed every other class better than blindly."""
        shares: defaultdict[int, dict[int, int]] = defaultdict(dict)
        for judged in self._classes:
            losses = self._losses[judged.number]
            worst = max(losses.values())
            share = {placing: 100 * lost // (worst or 1) for placing, lost in losses.items()}
            for who, placing in self._given[judged.number].items():
                shares[who][judged.number] = share[placing]
        outliers: defaultdict[int, list[int]] = defaultdict(list)
        for who, of_class in sorted(shares.items()):
            *others, most = sorted(of_class.values())
            if most >= WORST and len(others) >= FEWEST_OTHERS and others[-1] <= NEVER:
                outliers[max(of_class, key=of_class.__getitem__)].append(who)
        return dict(sorted(outliers.items()))


def alike(record: Record) -> list[Alike]:
    """Team-mates whose cards are identical in every class, and wrong in several: one card may have been read twice, or
    one copied from the other. To place classes alike because both are right is not odd."""
    cards = {(card.class_number, card.number): card.placing for card in record.cards}
    teams: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
    for contestant in record.contestants:
        if contestant.present and contestant.team:
            teams[contestant.division, contestant.team].append(contestant.number)
    look_alikes = []
    for (division, team), members in teams.items():
        judged_by = [judged for judged in record.classes if judged.places and division in judged.divisions]
        same: defaultdict[tuple[str, ...], list[int]] = defaultdict(list)
        for member in members:
            same[tuple(cards.get((judged.number, member), NO_CARD) for judged in judged_by)].append(member)
        for placings, whose in same.items():
            pairs = zip(judged_by, placings, strict=True)
            wrong = sum(is_placing(placing) and placing != judged.official for judged, placing in pairs)
            if len(whose) > 1 and wrong >= FEWEST_ALIKE:
                placed = sum(map(is_placing, placings))
                look_alikes.append(Alike(division, team, tuple(sorted(whose)), len(whose) == len(members), placed))
    return look_alikes


def cuts_of_nothing(record: Record) -> dict[int, list[str]]:
    """By class, which of PAIRS have a cut of 0: two animals that differ by nothing. The published scales begin at 1
    (Colorado State 1.619: 1 to 3 is a close pair), and no rule was found that forbids 0."""
    idle = {}
    for judged in record.classes:
        if judged.counts_placing and judged.cuts and 0 in judged.cuts:
            idle[judged.number] = [name for name, cut in zip(PAIRS, judged.cuts, strict=True) if cut == 0]
    return idle


def odd_reasons(record: Record) -> dict[int, list[int]]:
    """By class, whose set of reasons an official scored far from the median of what that official gave in the class:
    44 may have been typed as 4.4."""
    scores_by_set: defaultdict[tuple[int, str], dict[int, int]] = defaultdict(dict)
    present = {contestant.number for contestant in record.contestants if contestant.present}
    for score in record.reasons:
        if score.number in present:
            scores_by_set[score.class_number, score.official][score.number] = score.hundredths
    counting = {judged.number for judged in record.classes if judged.counts_reasons}
    odd: defaultdict[int, set[int]] = defaultdict(set)
    for (number, _official), scores in scores_by_set.items():
        if number in counting and len(scores) >= FEWEST_CARDS:
            usual = median(scores.values())
            odd[number].update(who for who, points in scores.items() if abs(points - usual) > FAR_FROM_MEDIAN)
    return {number: sorted(people) for number, people in sorted(odd.items()) if people}


def without_any_card(record: Record) -> list[int]:
    """The numbers of those who are present, should have cards, and handed in none at all."""
    judging = {division for judged in record.classes if judged.places for division in judged.counting_divisions}
    with_card = {card.number for card in record.cards if card.placing != NO_CARD}
    return sorted(
        contestant.number
        for contestant in record.contestants
        if contestant.present and contestant.division in judging and contestant.number not in with_card
    )


def _losses(judged: JudgingClass) -> dict[str, int]:
    """What each of the 24 placings loses."""
    assert judged.official is not None and judged.cuts is not None
    return {placing: judged.perfect - score for placing, score in grid(judged.official, judged.cuts, judged.perfect)}
