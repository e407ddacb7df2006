"""Finding the doubts of a contest, oldest first.

A doubt is found in what was read, never stored, so that none can be lost. Each query begins at what is doubtful, by an
index, and goes from there to its readings: a contest with few doubts is looked through fast, however much was read.
Rows come as plain tuples, since a wild load of entries can make thousands.
"""

from __future__ import annotations

import hashlib
import time
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any, NamedTuple

from django.db.models import Exists, Model, OuterRef, Q, QuerySet
from django.utils.translation import gettext, gettext_noop

from contest.changes.snapshot import one_snapshot
from contest.models import Card, ClassDivision, Contest, Contestant, JudgingClass, Reading, Source, State
from contest.slips.cards import CardSlip, card_place, card_text
from contest.slips.due import OWNERS
from contest.slips.kinds import KINDS
from contest.slips.slip import Slip, field_names, of_contest
from contest.watch.doubts import (
    ABSENT,
    DIFFERS,
    LATE,
    REPEATED,
    UNKNOWN,
    WRONG_CLASS,
    Doubt,
    Said,
    letter,
)
from contest.web.revisions import once_a_version
from scoring.core.record import NO_CARD

LOOK_AT_THE_SLIP = gettext_noop("Look at the slip: what does it say?")
OFFICIALS_OWN = gettext_noop(
    "The official entered one of them on the room’s tablet. Ask the official, or look at the slip."
)
LOOK = {
    LATE: gettext_noop("A card was read that says something else than what was decided."),
    REPEATED: gettext_noop("{name} read two different cards of one contestant."),
    DIFFERS: gettext_noop("Look at the card: what does it say?"),
}


@dataclass(frozen=True)
class Waiting:
    """All doubts at one moment, oldest first."""

    doubts: tuple[Doubt, ...]

    @cached_property
    def fingerprint(self) -> str:
        """Tells whether the list is the same, with the same readings."""
        text = " ".join(f"{doubt.key}:{doubt.fingerprint}" for doubt in self.doubts)
        return hashlib.sha256(text.encode()).hexdigest()[:16]


def waiting(contest: Contest) -> Waiting:
    """The doubts at the contest's revision; found once for each."""
    return once_a_version(f"doubts-{contest.pk}", str(contest.revision), lambda: _found(contest))


def doubt_count(contest: Contest) -> int:
    """How many doubts there are at the contest's revision; where there are so many that finding them takes long, how
    many there were a moment ago, since it stands on every page."""
    counted = _counted.get(contest.pk)
    if counted and counted.took > LONG and counted.at > time.monotonic() - A_MOMENT:
        return counted.count
    return len(waiting(contest).doubts)


LONG = 0.03
"""Seconds of work from which on finding the doubts takes long."""

A_MOMENT = 2.0
"""Seconds for which their count is good enough then. Whoever decides one is shown the list itself, found anew."""


class _Counted(NamedTuple):
    count: int  # type: ignore[assignment]  # it hides what nobody asks a row for: tuple.count
    took: float
    at: float


_counted: dict[int, _Counted] = {}


def _found(contest: Contest) -> Waiting:
    began = time.thread_time()
    waiting_now = Waiting(tuple(doubts_of(contest)))
    _counted[contest.pk] = _Counted(len(waiting_now.doubts), time.thread_time() - began, time.monotonic())
    return waiting_now


def forget_all() -> None:
    """Drop every count: for tests, whose databases start over with the same keys."""
    _counted.clear()


@one_snapshot()
def doubts_of(contest: Contest) -> list[Doubt]:
    """Every doubt of the contest, oldest first, in a constant number of queries."""
    doubts = [*_Cards(contest).doubts()]
    for kind in KINDS:
        if kind is not CardSlip:
            doubts += _doubts_about(kind, contest)
    return sorted(doubts, key=lambda doubt: doubt.since)


class ReadingRow(NamedTuple):
    """One reading, whatever it is of. `value` is a placing, or hundredths."""

    pk: int
    value: Any
    by: str
    at: datetime
    decides: bool
    reason: str
    source: str

    def said(self, place: int, text: str) -> Said:
        return Said(self.pk, letter(place), self.value, text, *self[2:])


ROW = ("pk", "placing", "by", "at", "decides", "reason", "source")


class _Cards:
    """The doubts about cards."""

    def __init__(self, contest: Contest) -> None:
        self._contest = contest
        self._classes = {judged.pk: judged for judged in contest.classes.all()}
        self._judging: defaultdict[int, set[int]] = defaultdict(set)  # classes by division
        for division, judged in ClassDivision.objects.filter(judging_class__contest=contest).values_list(
            "division", "judging_class"
        ):
            if self._classes[judged].places:
                self._judging[division].add(judged)

    def doubts(self) -> Iterable[Doubt]:
        yield from self._unknown()
        yield from self._wrong_class()
        differing = self._cards_in_doubt()
        for (judged, _), (number, group, readings) in differing.items():
            yield _differing(self._classes[judged], number, group, readings)
        for card, (number, group, readings) in self._cards_of_absent().items():
            doubt = card not in differing and _absent(self._classes[card[0]], number, group, readings)
            if doubt:
                yield doubt

    def _unknown(self) -> Iterable[Doubt]:
        by_now = Contestant.objects.filter(contest=self._contest, number=OuterRef("number"))
        rows = Reading.objects.filter(judging_class__in=self._classes, contestant=None, withdrawn_at=None)
        columns = (*ROW, "judging_class", "number", "known_now")
        for *row, judged, number, known_now in (
            rows.annotate(known_now=Exists(by_now)).order_by("pk").values_list(*columns)
        ):
            text = (
                gettext("Somebody has number {number} by now. Move the reading there if it is theirs.")
                if known_now
                else gettext("Nobody has number {number}. Whose card is it?")
            )
            yield _stray(UNKNOWN, self._classes[judged], number, "", ReadingRow(*row), text.format(number=number))

    def _wrong_class(self) -> Iterable[Doubt]:
        parts = [
            Reading.objects.filter(
                judging_class__in=elsewhere,
                contestant__in=Contestant.objects.filter(division=division),
                withdrawn_at=None,
            )
            for division in self._contest.divisions.values_list("pk", flat=True)
            if (elsewhere := self._classes.keys() - self._judging[division])
        ]
        for *row, judged, number, group in _together(parts, (*ROW, "judging_class", "number", "contestant__group")):
            judging_class = self._classes[judged]
            text = (
                gettext("The division of {number} does not judge class {judged}.")
                if judging_class.places
                else gettext("Class {judged} is judged for its reasons only and has no cards.")
            ).format(number=number, judged=judging_class.number)
            yield _stray(WRONG_CLASS, judging_class, number, group, ReadingRow(*row), text)

    def _cards_in_doubt(self) -> dict[tuple[int, int], tuple[int, str, list[ReadingRow]]]:
        # Class by class, so that the database looks up each doubtful card rather than walk through all readings.
        in_doubt = Card.objects.order_by().filter(state=State.DOUBT).values("contestant")
        return self._by_card(
            Reading.objects.filter(
                judging_class=judged, contestant__in=in_doubt.filter(judging_class=judged), withdrawn_at=None
            )
            for judged in self._classes
        )

    def _cards_of_absent(self) -> dict[tuple[int, int], tuple[int, str, list[ReadingRow]]]:
        absent = Contestant.objects.filter(contest=self._contest, present=False)
        return self._by_card([Reading.objects.filter(contestant__in=absent, withdrawn_at=None)])

    def _by_card(self, parts: Iterable[QuerySet[Reading]]) -> dict[tuple[int, int], tuple[int, str, list[ReadingRow]]]:
        """The readings of each card that is due, by class and contestant, with the contestant's number and group."""
        columns = (*ROW, "judging_class", "contestant", *_read("contestant__", ("number", "group", "division")))
        cards: dict[tuple[int, int], tuple[int, str, list[ReadingRow]]] = {}
        for *row, judged, contestant, number, group, division in sorted(_together(parts, columns)):
            if judged in self._judging[division]:
                cards.setdefault((judged, contestant), (number, group, []))[2].append(ReadingRow(*row))
        return cards


def _together(parts: Iterable[QuerySet[Reading]], columns: Sequence[str]) -> Iterable[tuple[Any, ...]]:
    """What several queries find, asked for in one."""
    rows = [part.order_by().values_list(*columns) for part in parts]
    return rows[0].union(*rows[1:], all=True) if rows else []


def _read(prefix: str, names: Iterable[str]) -> list[str]:
    return [prefix + name for name in names]


def _stray(kind: str, judged: JudgingClass, number: int, group: str, row: ReadingRow, text: str) -> Doubt:
    said = (row.said(0, card_text(row.value)),)
    return _card_doubt(kind, judged, number, group, said, text, row.at, stray=True, known=kind != UNKNOWN)


def _differing(judged: JudgingClass, number: int, group: str, readings: Sequence[ReadingRow]) -> Doubt:
    kind, news = _how_they_differ(readings)
    text = gettext(LOOK[kind]).format(name=readings[0].by)
    return _card_doubt(kind, judged, number, group, _all_said(CardSlip, readings), text, news.at)


def _absent(judged: JudgingClass, number: int, group: str, readings: Sequence[ReadingRow]) -> Doubt | None:
    """A card of somebody who is marked absent, unless the superintendent has already decided about it."""
    if any(reading.decides for reading in readings):
        return None
    first = next((reading for reading in readings if reading.value != NO_CARD), None)
    if first is None:
        return None
    text = gettext("{number} is marked absent, and there is a card.").format(number=number)
    return _card_doubt(ABSENT, judged, number, group, _all_said(CardSlip, readings), text, first.at)


def _how_they_differ(readings: Sequence[ReadingRow]) -> tuple[str, ReadingRow]:
    """What kind of doubt readings that differ are, and the one that made it one."""
    decided = max((place for place, reading in enumerate(readings) if reading.decides), default=None)
    if decided is not None:
        return LATE, readings[decided + 1] if decided + 1 < len(readings) else readings[0]
    one_reader = len({reading.by.casefold() for reading in readings}) == 1
    news = next((reading for reading in readings if reading.value != readings[0].value), readings[0])
    return REPEATED if one_reader else DIFFERS, news


def _all_said(kind: type[Slip], readings: Sequence[ReadingRow]) -> tuple[Said, ...]:
    return tuple(reading.said(place, kind.value_text(reading.value)) for place, reading in enumerate(readings))


def _card_doubt(
    kind: str,
    judged: JudgingClass,
    number: int,
    group: str,
    said: tuple[Said, ...],
    text: str,
    since: datetime,
    stray: bool = False,
    known: bool = True,
) -> Doubt:
    place = card_place(judged.number, number)
    return Doubt(
        about="card",
        kind=kind,
        place=place,
        key=f"reading-{said[0].pk}" if stray else place.key,
        what=gettext("Class {judged}, contestant {number}").format(judged=judged.number, number=number),
        text=f"{text} {gettext('The class is void: the card counts for nobody.')}" if judged.void else text,
        since=since,
        said=said,
        number=number,
        class_number=judged.number,
        group=group,
        stray=stray,
        known=known,
    )


def _doubts_about(kind: type[Slip], contest: Contest) -> Iterable[Doubt]:
    """The doubts about slips of a kind that keeps no strays: readings differ, or else whoever has it is absent."""
    names = field_names(kind)
    keys = [f"{name}_id" for name in names]
    first = kind.about[0]
    within = list(of_contest(contest, _model(kind, first)).values_list("pk", flat=True))
    results = of_contest(contest, kind.results).filter(**{f"{first}__in": within}).order_by()
    absent = Contestant.objects.filter(contest=contest, present=False)
    of_absent = results.filter(contestant__in=absent).exclude(state=State.DOUBT).exclude(**{kind.value: kind.nothing})
    open_slips = [
        *results.filter(state=State.DOUBT).values_list(*keys, "state"),
        *of_absent.values_list(*keys, "state"),
    ]
    # What they are of and whose they are, each brought once, however many are of the same.
    parts = [_rows(kind, name, {row[place] for row in open_slips}) for place, name in enumerate(names)]
    theirs = Q(pk__in=())
    for name, known in zip(names, parts, strict=True):
        if name in OWNERS:
            theirs |= Q(**{f"{name}__in": list(known)})
    rows = kind.readings._default_manager.filter(theirs, withdrawn_at=None).order_by("pk")
    readings_of: defaultdict[tuple[Any, ...], list[ReadingRow]] = defaultdict(list)
    for row in rows.values_list(*keys, "pk", kind.value, *ROW[2:]):
        readings_of[row[: len(keys)]].append(ReadingRow(*row[len(keys) :]))
    for *of, state in open_slips:
        slip = kind(*(known.get(pk) for known, pk in zip(parts, of, strict=True)))
        if doubt := _doubt_about(slip, state, readings_of[tuple(of)]):
            yield doubt


def _model(kind: type[Slip], name: str) -> type[Model]:
    model: type[Model] = kind.results._meta.get_field(name).related_model
    return model


def _rows(kind: type[Slip], name: str, keys: set[int | None]) -> dict[int, Any]:
    rows = _model(kind, name)._default_manager.all()
    if related := [path.removeprefix(f"{name}__") for path in kind.related if path.startswith(f"{name}__")]:
        rows = rows.select_related(*related)
    return rows.in_bulk(keys - {None})


def _doubt_about(slip: Slip, state: str, readings: Sequence[ReadingRow]) -> Doubt | None:
    contestant = slip.contestant
    if state == State.DOUBT:
        kind, news = _how_they_differ(readings)
        entered = any(reading.source == Source.OFFICIAL for reading in readings)
        text = gettext(OFFICIALS_OWN if entered else LOOK_AT_THE_SLIP)
    elif any(reading.decides for reading in readings):
        return None  # the superintendent has decided that it stays as it is
    else:
        kind, news = ABSENT, readings[0]
        text = gettext("{number} is marked absent, and there is a score.").format(number=contestant)
    judged = getattr(slip, "judging_class", None)
    return Doubt(
        about=slip.name,
        kind=kind,
        place=slip.place,
        key=slip.place.key,
        what=slip.title,
        text=text,
        since=news.at,
        said=_all_said(type(slip), readings),
        number=contestant.number if contestant else None,
        class_number=judged and judged.number,
        group=contestant.group if contestant else "",
    )
