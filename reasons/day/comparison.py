"""How fair the reasons were, from the contest's own scores."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import fmean
from typing import Any, NamedTuple

from django.utils.translation import gettext as _

from contest.models import Contest
from contest.records.tallying import Tallied, tallied
from contest.web.revisions import besides_cards, once_a_version
from reasons.day import remedies
from reasons.fairness import Figures, Heard, Ranked, Shift, beside_placings, corrections, figures, signed, verdict
from reasons.models import Slot
from scoring.core.record import HUNDREDTHS, Record
from scoring.core.result import PLACING
from scoring.core.sets import record_of_set


class OfficialLine(NamedTuple):
    """One official or room: the figures and what they mean. `shift` and `interval` are as printed, or empty."""

    name: str
    figures: Figures
    shift: str
    interval: str
    words: str


class Told(NamedTuple):
    """What the reasons say alone, by official and by room, and the correction by official; cards change nothing of
    it."""

    by_official: list[Heard]
    by_room: list[Heard]
    officials: list[Figures]
    rooms: list[Figures]
    corrections: dict[str, float]
    remedied: dict[str, Any]


def page(contest: Contest) -> dict[str, Any]:
    """The figures by official and by room, and what could be done to the scores."""
    known = tallied(contest)
    placing = placing_scores(known)
    version = str(besides_cards(contest.pk, known.revision))
    told = once_a_version(f"fairness-of-reasons-{contest.pk}", version, lambda: _told(contest, known.record))
    placed = {score.number for score in told.by_official} & placing.keys()
    return {
        "officials": _lines(beside_placings(told.officials, told.by_official, placing)),
        "rooms": _lines(beside_placings(told.rooms, told.by_room, placing)),
        "placing_mean": fmean(placing[number] for number in placed) if placed else None,
        **told.remedied,
        **remedies.of_winners(known, told.corrections),
    }


def _told(contest: Contest, record: Record) -> Told:
    called = _("Room {room}")
    rooms = {
        (number, class_number): called.format(room=room)
        for number, class_number, room in Slot.objects.filter(room__contest=contest).values_list(
            "contestant__number", "judging_class__number", "room__name"
        )
    }
    by_official = [
        Heard(official, number, class_number, hundredths / HUNDREDTHS)
        for class_number, number, official, hundredths in record.reasons
    ]
    by_room = [
        score._replace(by=room) for score in by_official if (room := rooms.get((score.number, score.class_number)))
    ]
    lists = list(ranked_lists(record))
    added = corrections(by_official)
    return Told(
        by_official,
        by_room,
        figures(by_official, lists),
        figures(by_room, lists),
        added,
        remedies.of_officials(record, added),
    )


def ranked_lists(record: Record) -> Iterator[Ranked]:
    """The lists in which reasons count, from the record alone, so that they are there before the keys. That of all
    reasons ranks the same contestants for the same sets as the overall list, and is left out."""
    for of in record.sets:
        for ranked in ranked_lists(record_of_set(record, of.code)):
            yield ranked._replace(name=f"{of.name}, {ranked.name}")
    for division in () if record.sets else record.divisions:
        numbers = frozenset(c.number for c in record.contestants if c.present and c.division == division.code)
        heard = [judged for judged in record.classes if division.code in judged.counting_reasons]
        yield Ranked(division.name, numbers, frozenset(judged.number for judged in heard))
        if record.rules.reasons_in_category:
            for category in record.categories:
                own = frozenset(judged.number for judged in heard if judged.category == category.code)
                yield Ranked(f"{division.name} ({category.name})", numbers, own)


def placing_scores(known: Tallied) -> dict[int, float]:
    """The total of placings of each contestant of whom a card was read."""
    judged = {card.number for card in known.record.cards}
    return {
        row.number: float(row.total)
        for standing in known.result.of_everybody
        if standing.code == PLACING
        for row in standing.individuals
        if row.number in judged
    }


def _lines(told: list[Figures]) -> list[OfficialLine]:
    return [_line(official) for official in told]


def _line(official: Figures) -> OfficialLine:
    shift, interval = "", ""
    if isinstance(official.shift, Shift):
        shift = signed(official.shift.points)
        interval = _("{low} to {high}").format(low=signed(official.shift.low), high=signed(official.shift.high))
    return OfficialLine(official.by, official, shift, interval, verdict(official))
