"""How fair the reasons were, from the contest's own scores."""

from __future__ import annotations

from collections import defaultdict
from statistics import fmean
from typing import Any, NamedTuple

from django.utils.translation import gettext as _

from contest.models import Contest
from contest.records.tallying import Tallied, tallied
from reasons.fairness import Figures, Heard, figures, signed, spread, verdict
from reasons.models import Slot
from scoring.core.record import HUNDREDTHS
from scoring.core.result import PLACING
from scoring.core.standardising import standardised


class OfficialLine(NamedTuple):
    """One official or room: the figures and what they mean. `against` and `shift` are as printed, or empty."""

    name: str
    figures: Figures
    against: str
    shift: str
    interval: str
    words: str


class Standardised(NamedTuple):
    """What standardising makes of one official's scores: their mean and spread as given and as they would count."""

    official: str
    mean: float
    spread: float | None
    mean_then: float
    spread_then: float | None
    remark: str


def page(contest: Contest) -> dict[str, Any]:
    """The figures by official and by room, and what standardising does."""
    known = tallied(contest)
    scores = known.record.reasons
    placing = placing_scores(known)
    called = _("Room {room}")
    rooms = {
        (number, class_number): called.format(room=room)
        for number, class_number, room in Slot.objects.filter(room__contest=contest).values_list(
            "contestant__number", "judging_class__number", "room__name"
        )
    }
    by_official = [Heard(official, number, hundredths / HUNDREDTHS) for _class, number, official, hundredths in scores]
    by_room = [
        Heard(room, number, hundredths / HUNDREDTHS)
        for class_number, number, _official, hundredths in scores
        if (room := rooms.get((number, class_number)))
    ]
    return {
        "officials": _lines(by_official, placing),
        "rooms": _lines(by_room, placing),
        "placing_mean": fmean(placing[number] for number in heard) if (heard := _placed(scores, placing)) else None,
        "standardised": _standardised(known),
        "is_standardised": contest.reasons_standardised,
    }


def _standardised(known: Tallied) -> list[Standardised]:
    scores = known.record.reasons
    points_given: defaultdict[str, list[float]] = defaultdict(list)
    counts: defaultdict[str, list[float]] = defaultdict(list)
    for score, then in zip(scores, standardised(known.record), strict=True):
        points_given[score.official].append(score.hundredths / HUNDREDTHS)
        counts[score.official].append(then.hundredths / HUNDREDTHS)
    lines = []
    for official, points in sorted(points_given.items()):
        then_points = counts[official]
        given = spread(points)
        remark = _("a single set, left as it was given") if len(points) == 1 else ""
        if given == 0:
            remark = _("gave everybody alike: the mean of all officials")
        lines.append(Standardised(official, fmean(points), given, fmean(then_points), spread(then_points), remark))
    return lines


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


def _placed(scores: Any, placing: dict[int, float]) -> set[int]:
    return {score.number for score in scores} & placing.keys()


def _lines(heard: list[Heard], placing: dict[int, float]) -> list[OfficialLine]:
    return [_line(official) for official in figures(heard, placing)]


def _line(official: Figures) -> OfficialLine:
    against = "" if official.with_others is None else signed(official.with_others)
    shift, interval = "", ""
    if official.shift:
        shift, interval = (
            signed(official.shift.points),
            _("{low} to {high}").format(low=signed(official.shift.low), high=signed(official.shift.high)),
        )
    return OfficialLine(official.by, official, against, shift, interval, verdict(official))
