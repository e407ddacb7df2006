"""How fair the reasons were, from the contest's own scores."""

from __future__ import annotations

from statistics import fmean
from typing import Any, NamedTuple

from contest.models import Contest
from reasons.fairness import Figures, Heard, figures, in_words, standardised
from reasons.models import Slot
from scoring.record import HUNDREDTHS, ReasonsScore
from scoring.result import PLACING
from scoring.standings import Tallied, tallied


class Line(NamedTuple):
    """One official or room: the figures and what they mean."""

    name: str
    figures: Figures
    words: str


class Standardised(NamedTuple):
    number: int
    class_number: int
    official: str
    given: float
    standardised: float


def page(contest: Contest, standardise: bool) -> dict[str, Any]:
    """The figures by official and by room and, where the contest orders it, the standardised scores."""
    known = tallied(contest)
    scores = known.record.reasons
    placing = placing_scores(known)
    rooms = {
        (number, class_number): room
        for number, class_number, room in Slot.objects.filter(room__contest=contest).values_list(
            "contestant__number", "judging_class__number", "room__name"
        )
    }
    by_official = [_heard(one, one.official) for one in scores]
    by_room = [
        _heard(one, rooms[one.number, one.class_number]) for one in scores if (one.number, one.class_number) in rooms
    ]
    return {
        "officials": _lines(by_official, placing),
        "rooms": _lines(by_room, placing),
        "placing_mean": fmean(placing[number] for number in heard) if (heard := _placed(scores, placing)) else None,
        "standardised": [
            Standardised(one.number, one.class_number, one.official, one.hundredths / HUNDREDTHS, points)
            for one, points in zip(scores, standardised(by_official), strict=True)
        ]
        if standardise
        else [],
        "is_standardised": standardise,
    }


def placing_scores(known: Tallied) -> dict[int, float]:
    """The total of placings of each contestant of whom a card was read."""
    judged = {card.number for card in known.record.cards}
    return {
        row.number: float(row.total)
        for standing in known.result.standings
        if standing.code == PLACING
        for row in standing.individuals
        if row.number in judged
    }


def _placed(scores, placing: dict[int, float]) -> set[int]:
    return {one.number for one in scores} & placing.keys()


def _heard(score: ReasonsScore, by: str) -> Heard:
    return Heard(by, score.number, score.hundredths / HUNDREDTHS)


def _lines(heard: list[Heard], placing: dict[int, float]) -> list[Line]:
    return [Line(one.by, one, in_words(one)) for one in figures(heard, placing)]
