"""Finding the doubts of a contest, oldest first.

A doubt is found in what was read, never stored, so that none can be lost. Each query begins at what is doubtful, by an
index, and goes from there to its readings: a contest with few doubts is looked through fast, however much was read.
Rows come as plain tuples, since a wild load of entries can make thousands.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from typing import Any, NamedTuple

from django.db.models import Exists, Model, OuterRef, Q, QuerySet
from django.utils.translation import gettext_noop

from contest.changes.snapshot import one_snapshot
from contest.models import Card, ChoiceReading, ClassDivision, Contest, Contestant, Part, Reading, Source, State
from contest.slips.cards import CardSlip
from contest.slips.choices import ChoiceSlip
from contest.slips.due import OWNERS
from contest.slips.kinds import KINDS
from contest.slips.slip import Slip, of_contest
from contest.watch.doubts import (
    ABSENT,
    DIFFERS,
    LATE,
    ODD,
    REPEATED,
    UNCLEAR,
    UNKNOWN,
    WRONG_CLASS,
    WRONG_PART,
    Doubt,
    ReadingRow,
)
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
NOBODYS = gettext_noop("Nobody has number {number}. Whose card is it?")
SOMEBODYS = gettext_noop("Somebody has number {number} by now. Move the reading there if it is theirs.")
NOT_JUDGED = gettext_noop("The division of {number} does not judge class {judged}.")
NOT_DONE = gettext_noop("The division of {number} does not do {of}.")
NO_CARDS = gettext_noop("Class {judged} is judged for its reasons only and has no cards.")
ABSENT_WITH_CARD = gettext_noop("{number} is marked absent, and there is a card.")
NOT_SO_MANY = gettext_noop("Not as many are kept as there should be: it earns 0. Look at the card: what does it say?")
NOT_CLEAR = gettext_noop("Two answers are marked, or none can be made out: it is wrong. Look at the sheet.")
ABSENT_WITH_SCORE = gettext_noop("{number} is marked absent, and there is a score.")


@one_snapshot()
def doubts_of(contest: Contest) -> list[Doubt]:
    """Every doubt of the contest, oldest first, in a constant number of queries."""
    doubts = [*_Cards(contest).doubts()]
    for kind in KINDS:
        if kind is not CardSlip:
            doubts += _doubts_about(kind, contest)
    return oldest_first([*doubts, *_stray_choices(contest)])


@one_snapshot()
def doubts_about_cards(contest: Contest, cards: Collection[tuple[int | None, int | None]]) -> list[Doubt]:
    """Those about these cards alone."""
    classes, numbers = ({card[part] for card in cards} for part in (0, 1))
    theirs = Reading.objects.filter(judging_class__in=contest.classes.filter(number__in=classes), number__in=numbers)
    return [doubt for doubt in _Cards(contest).doubts(theirs) if doubt.card in cards]


def oldest_first(doubts: Iterable[Doubt]) -> list[Doubt]:
    return sorted(doubts, key=lambda doubt: doubt.since)


ROW = ("pk", "placing", "by", "at", "decides", "reason", "source")


class _Read(NamedTuple):
    """What a card was read of, and what is known of that: whether `somebody` has by now the number that nobody had."""

    judging_class: int
    number: int
    contestant: int | None
    group: str | None
    division: int | None
    present: bool | None
    in_doubt: bool
    somebody: bool


class _Cards:
    """The doubts about cards."""

    def __init__(self, contest: Contest) -> None:
        self._contest = contest
        self._classes = {judged.pk: judged for judged in contest.classes.all()}
        self._judging: defaultdict[int | None, set[int]] = defaultdict(set)  # classes by division
        for division, judged in ClassDivision.objects.filter(judging_class__contest=contest).values_list(
            "division", "judging_class"
        ):
            if self._classes[judged].places:
                self._judging[division].add(judged)

    def doubts(self, among: QuerySet[Reading] | None = None) -> Iterable[Doubt]:
        for read, readings in self._by_card(self._doubtful() if among is None else among).items():
            yield from self._about(read, readings)

    def _about(self, read: _Read, readings: Sequence[ReadingRow]) -> Iterable[Doubt]:
        slip = CardSlip(self._classes[read.judging_class], read.number, None)
        whose = read.number, read.group or ""
        first = next((row for row in readings if row.value != NO_CARD), None)
        if read.contestant is None:
            why = SOMEBODYS if read.somebody else NOBODYS
            yield from (Doubt(slip, UNKNOWN, why, row.at, (row,), *whose) for row in readings)
        elif read.judging_class not in self._judging[read.division]:
            why = NOT_JUDGED if slip.judging_class.places else NO_CARDS
            yield from (Doubt(slip, WRONG_CLASS, why, row.at, (row,), *whose) for row in readings)
        elif read.in_doubt:
            kind, news = _how_they_differ(readings)
            yield Doubt(slip, kind, LOOK[kind], news.at, tuple(readings), *whose)
        elif first and not read.present and not any(row.decides for row in readings):
            yield Doubt(slip, ABSENT, ABSENT_WITH_CARD, first.at, tuple(readings), *whose)

    def _doubtful(self) -> QuerySet[Reading]:
        """The readings that doubts are found in, and perhaps a few more."""
        absent = Contestant.objects.filter(contest=self._contest, present=False)
        parts = [
            Reading.objects.filter(judging_class__in=self._classes, contestant=None),
            Reading.objects.filter(contestant__in=absent),
        ]
        for division in self._contest.divisions.values_list("pk", flat=True):
            if elsewhere := self._classes.keys() - self._judging[division]:
                theirs = Contestant.objects.filter(division=division)
                parts.append(Reading.objects.filter(judging_class__in=elsewhere, contestant__in=theirs))
        # Class by class, so that the database looks up each doubtful card rather than walk through all readings.
        for judged in self._classes:
            in_doubt = Card.objects.order_by().filter(judging_class=judged, state=State.DOUBT).values("contestant")
            parts.append(Reading.objects.filter(judging_class=judged, contestant__in=in_doubt))
        first, *others = (part.order_by().values("pk") for part in parts)
        return Reading.objects.filter(pk__in=first.union(*others, all=True))

    def _by_card(self, among: QuerySet[Reading]) -> dict[_Read, list[ReadingRow]]:
        """The readings of each card, oldest first, of those that count."""
        card = Card.objects.filter(judging_class=OuterRef("judging_class"), contestant=OuterRef("contestant"))
        somebody = Contestant.objects.filter(contest=self._contest, number=OuterRef("number"))
        known = {"in_doubt": Exists(card.filter(state=State.DOUBT)), "somebody": Exists(somebody)}
        theirs = ("contestant", "contestant__group", "contestant__division", "contestant__present")
        columns = (*ROW, "judging_class", "number", *theirs, *known)
        by_card: defaultdict[_Read, list[ReadingRow]] = defaultdict(list)
        rows = among.filter(withdrawn_at=None).annotate(**known).order_by("pk").values_list(*columns)
        for row in rows:
            by_card[_Read(*row[len(ROW) :])].append(ReadingRow(*row[: len(ROW)]))
        return by_card


def _how_they_differ(readings: Sequence[ReadingRow]) -> tuple[str, ReadingRow]:
    """What kind of doubt readings that differ are, and the one that made it one."""
    decided = max((place for place, reading in enumerate(readings) if reading.decides), default=None)
    if decided is not None:
        return LATE, readings[decided + 1] if decided + 1 < len(readings) else readings[0]
    one_reader = len({reading.by.casefold() for reading in readings}) == 1
    news = next((reading for reading in readings if reading.value != readings[0].value), readings[0])
    return REPEATED if one_reader else DIFFERS, news


def _doubts_about(kind: type[Slip], contest: Contest) -> Iterable[Doubt]:
    """The doubts about slips that are due, but for cards: readings differ, or else whoever has it is absent, or it is
    odd."""
    names = kind.about
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
    odd = {*kind.odd(results).exclude(contestant__in=absent).exclude(state=State.DOUBT).values_list(*keys, "state")}
    open_slips += odd
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
        slip = kind(**{name: known.get(pk) for name, known, pk in zip(names, parts, of, strict=True)})
        if doubt := _doubt_about(slip, state, readings_of[tuple(of)], (*of, state) in odd):
            yield doubt


def _stray_choices(contest: Contest) -> Iterable[Doubt]:
    """What was read for parts that have a key of numbers that nobody has, or of somebody whose division does no such
    part."""
    doing = Part.divisions.through.objects.filter(part=OuterRef("part"), division=OuterRef("contestant__division"))
    somebody = Contestant.objects.filter(contest=contest, number=OuterRef("number"))
    rows = of_contest(contest, ChoiceReading).filter(Q(contestant=None) | ~Exists(doing), withdrawn_at=None)
    for row in rows.annotate(somebody=Exists(somebody)).select_related("part__contest", "contestant").order_by("pk"):
        slip = ChoiceSlip.of_row(row)
        if row.contestant:
            kind, why, whose = WRONG_PART, NOT_DONE, (row.contestant.number, row.contestant.group)
        else:
            kind, why, whose = UNKNOWN, SOMEBODYS if row.somebody else NOBODYS, (row.number, "")
        said = ReadingRow(row.pk, row.chosen, row.by, row.at, row.decides, row.reason, row.source)
        yield Doubt(slip, kind, why, row.at, (said,), *whose)


def _model(kind: type[Slip], name: str) -> type[Model]:
    model: type[Model] = kind.results._meta.get_field(name).related_model
    return model


def _rows(kind: type[Slip], name: str, keys: set[int | None]) -> dict[int, Any]:
    rows = _model(kind, name)._default_manager.all()
    if related := [path.removeprefix(f"{name}__") for path in kind.related if path.startswith(f"{name}__")]:
        rows = rows.select_related(*related)
    return rows.in_bulk(keys - {None})


def _doubt_about(slip: Slip, state: str, readings: Sequence[ReadingRow], odd: bool) -> Doubt | None:
    contestant = slip.contestant
    if state == State.DOUBT:
        kind, news = _how_they_differ(readings)
        entered = any(reading.source == Source.OFFICIAL for reading in readings)
        why = OFFICIALS_OWN if entered else LOOK_AT_THE_SLIP
    elif any(reading.decides for reading in readings):
        return None  # the superintendent has decided that it stays as it is
    elif odd:
        of_answers = isinstance(slip, ChoiceSlip) and slip.part.questions
        kind, why = (UNCLEAR, NOT_CLEAR) if of_answers else (ODD, NOT_SO_MANY)
        news = readings[0]
    else:
        kind, why, news = ABSENT, ABSENT_WITH_SCORE, readings[0]
    whose = (contestant.number, contestant.group) if contestant else ()
    return Doubt(slip, kind, why, news.at, tuple(readings), *whose)
