"""What looks wrong though nothing forbids it: for somebody to look at before results are announced.

The figures that part the odd from the usual are our own, chosen so that contests of people who looked at the animals
show few of them or none.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from statistics import median

from scoring.core.placing import PAIRS
from scoring.core.record import HUNDREDTHS, NO_CARD, UNREADABLE, Record

FEWEST_SCORES = 5
"""Scores from which on a median says what is usual."""

FEWEST_ALIKE = 3
"""Classes in which team-mates have the same card, and not the official placing, before that is remarkable."""

FAR_FROM_MEDIAN = 20 * HUNDREDTHS
"""Points, in hundredths, that a reasons score may be away from the median of its class and official."""


@dataclass(frozen=True, slots=True)
class Alike:
    """Members of a team, all of them or some, whose cards are the same in every class."""

    division: str
    team: str
    members: tuple[int, ...]
    whole_team: bool
    classes: int


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
            wrong = sum(_is_placing(placing) and placing != judged.official for judged, placing in pairs)
            if len(whose) > 1 and wrong >= FEWEST_ALIKE:
                placed = sum(map(_is_placing, placings))
                look_alikes.append(Alike(division, team, tuple(sorted(whose)), len(whose) == len(members), placed))
    return look_alikes


def _is_placing(placing: str) -> bool:
    return placing not in (NO_CARD, UNREADABLE)


def cuts_of_nothing(record: Record) -> dict[int, list[str]]:
    """By class, which of its cuts are 0, as PAIRS names those of four animals, others by their places: two animals that
    differ by nothing. The published scales begin at 1 (Colorado State 1.619: 1 to 3 is a close pair), and no rule was
    found that forbids 0."""
    idle = {}
    for judged in record.classes:
        if judged.counts_cards and judged.cuts and 0 in judged.cuts:
            idle[judged.number] = [
                PAIRS[place] if len(judged.cuts) == len(PAIRS) else f"{place + 1}."
                for place, cut in enumerate(judged.cuts)
                if cut == 0
            ]
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
        if number in counting and len(scores) >= FEWEST_SCORES:
            usual = median(scores.values())
            odd[number].update(who for who, points in scores.items() if abs(points - usual) > FAR_FROM_MEDIAN)
    return {number: sorted(people) for number, people in sorted(odd.items()) if people}


def without_any_card(record: Record) -> list[int]:
    """The numbers of those who are present, should have cards, and handed in none at all."""
    judging = {division for judged in record.classes for division in judged.card_divisions}
    with_card = {card.number for card in record.cards if card.placing != NO_CARD}
    return sorted(
        contestant.number
        for contestant in record.contestants
        if contestant.present and contestant.division in judging and contestant.number not in with_card
    )
