"""What looks wrong though nothing forbids it: for somebody to look at before results are announced."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from fractions import Fraction

from scoring.placing import is_placing, lost_pairs
from scoring.record import NO_CARD, JudgingClass, Record

FEWEST_CARDS = 5
"""Cards from which an average says something about a key."""

FEWEST_ALIKE = 3
"""Classes in which the whole of a team has the same card each time, before that is remarkable."""


@dataclass(frozen=True, slots=True)
class Hard:
    """A class whose cards lose, in points on average, at least as much as placing blindly would."""

    number: int
    cards: int
    lost: Fraction
    blind: Fraction


def no_better_than_blind(record: Record) -> list[Hard]:
    """The classes whose key may have been typed wrong.

    Of all 24 placings each pair is the wrong way round in half, so placing blindly loses half of what the full reversal
    loses. People who looked at the animals lose less, whatever the cuts are.
    """
    present = {contestant.number for contestant in record.contestants if contestant.present}
    given: defaultdict[int, list[str]] = defaultdict(list)
    for card in record.cards:
        if card.number in present and is_placing(card.placing):
            given[card.class_number].append(card.placing)
    found = []
    for judged in record.classes:
        cards = given[judged.number]
        if not judged.counts_placing or len(cards) < FEWEST_CARDS:
            continue
        blind = Fraction(_lost(judged, _reversed(judged)), 2)
        lost = Fraction(sum(_lost(judged, placing) for placing in cards), len(cards))
        if blind and lost >= blind:
            found.append(Hard(judged.number, len(cards), lost, blind))
    return found


def all_alike(record: Record) -> list[tuple[str, str, int]]:
    """Division, team and number of classes of every team whose members gave identical cards in every class."""
    cards = {(card.class_number, card.number): card.placing for card in record.cards}
    teams: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
    for contestant in record.contestants:
        if contestant.present and contestant.team:
            teams[contestant.division, contestant.team].append(contestant.number)
    found = []
    for (division, team), members in teams.items():
        judged_by = [judged.number for judged in record.classes if judged.places and division in judged.divisions]
        sets = [{cards.get((number, member), NO_CARD) for member in members} for number in judged_by]
        placed = [together for together in sets if any(map(is_placing, together))]
        if len(members) > 1 and len(placed) >= FEWEST_ALIKE and all(len(together) == 1 for together in placed):
            found.append((division, team, len(placed)))
    return found


def without_any_card(record: Record) -> list[int]:
    """The numbers of those who are present, should have cards, and handed in none at all."""
    judging = {
        division for judged in record.classes if judged.places and not judged.void for division in judged.divisions
    }
    with_card = {card.number for card in record.cards if card.placing != NO_CARD}
    return sorted(
        contestant.number
        for contestant in record.contestants
        if contestant.present and contestant.division in judging and contestant.number not in with_card
    )


def _lost(judged: JudgingClass, placing: str) -> int:
    assert judged.official is not None and judged.cuts is not None
    return sum(pair.points for pair in lost_pairs(judged.official, judged.cuts, placing))


def _reversed(judged: JudgingClass) -> str:
    assert judged.official is not None
    return judged.official[::-1]
