"""What a contest's day left behind, read from the database for its book."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any

from django.utils import timezone

from contest.book.text import hundredths as read_hundredths
from contest.changes.snapshot import one_snapshot
from contest.models import (
    Card,
    Choice,
    ChoiceReading,
    Contest,
    Contestant,
    Mark,
    MarkReading,
    Reading,
    ReasonsReading,
    ReasonsScore,
    Source,
)
from contest.models.one_contest import way_to_contest
from contest.records.answers import answered
from contest.records.loading import load_record
from scoring.core import record as pure
from scoring.core.points import written_hundredths
from scoring.core.questions import Questions
from scoring.core.questions import points_of as worth_of_answers
from scoring.core.record import (
    NO_CARD,
    NONE,
    CardRead,
    ChoiceRead,
    Day,
    HowRead,
    MarkRead,
    PersonsDay,
    ReasonsRead,
    Record,
)
from scoring.core.settling import Given
from scoring.core.texts import gettext_noop

BOOK = gettext_noop("contest book")
"""Who read what a book brings, where the book does not say; and why it counts."""
SECOND = gettext_noop("contest book, second reading")
BY_OFFICIAL = gettext_noop("entered by the official")

Points = int | None


@one_snapshot()
def load_record_with_day(contest_id: int) -> Record:
    """All that a book can hold of a contest. Raises Contest.DoesNotExist."""
    _revision, record = load_record(contest_id)
    contest = Contest.objects.get(pk=contest_id)
    day = Day(_people(contest), _cards(contest), _reasons(contest), _marks(contest), _choices(contest))
    return without_marks_of_nobody(replace(record, day=day))


def without_marks_of_nobody(record: Record) -> Record:
    """The record without the marks of teams that nobody is in any more: they count for nobody, and a book knows a team
    by its members."""
    teams = {(contestant.division, contestant.team) for contestant in record.contestants}

    def of_somebody(mark: pure.Mark | pure.NoMark | MarkRead) -> bool:
        return mark.number is not None or (mark.division, mark.team) in teams

    if all(of_somebody(mark) for mark in record.marks) and all(of_somebody(none) for none in record.no_marks):
        return record
    return replace(
        record,
        marks=tuple(filter(of_somebody, record.marks)),
        no_marks=tuple(filter(of_somebody, record.no_marks)),
        day=replace(record.day, marks=tuple(filter(of_somebody, record.day.marks))),
    )


def _people(contest: Contest) -> tuple[PersonsDay, ...]:
    columns = ("number", "checked_in_at", "say_name", "ineligible_reason", "present")
    days = (
        PersonsDay(number, at.isoformat(timespec="seconds") if at else "", say_name, ineligible, present)
        for number, when, say_name, ineligible, present in Contestant.objects.filter(contest=contest)
        .order_by("pk")
        .values_list(*columns)
        for at in (when and timezone.make_naive(when),)
    )
    return tuple(day for day in days if day.arrived or day.say_name or day.ineligible)


def _cards(contest: Contest) -> tuple[CardRead, ...]:
    key = ("judging_class__number", "contestant__number")
    readings = _read(contest, Reading, Card, key, "placing", _or_none)
    return tuple(CardRead._make((*of, how)) for of, how in _without_second(readings))


def _choices(contest: Contest) -> tuple[ChoiceRead, ...]:
    """What was kept: how answers were read is that of the marks that they come to."""
    key = ("part__code", "contestant__number")
    readings = _read(contest, ChoiceReading, Choice, key, "chosen", _or_none, part__questions=0)
    return tuple(ChoiceRead._make((*of, how)) for of, how in _without_second(readings))


def _answers(contest: Contest) -> Iterator[MarkRead]:
    for code, of_part in answered(contest).items():
        if of_part.questions.key is None:
            continue

        def worth(chosen: str, questions: Questions = of_part.questions) -> str:
            return _points(None if chosen == NO_CARD else worth_of_answers(questions, chosen))

        key = ("contestant__number",)
        for (number,), how in _read(contest, ChoiceReading, Choice, key, "chosen", worth, part__code=code):
            yield MarkRead(code, number, "", "", how)


def _or_none(value: str) -> str:
    return value or NONE


def _without_second(
    readings: Iterable[tuple[tuple[Any, ...], HowRead]],
) -> Iterator[tuple[tuple[Any, ...], HowRead]]:
    """What the second reading says is the card's own to say, where it can."""
    for of, how in readings:
        how = how if how.decided or how.second == NONE else how._replace(second="")
        if any(how):
            yield of, how


def _reasons(contest: Contest) -> tuple[ReasonsRead, ...]:
    key = ("judging_class__number", "contestant__number", "official__name")
    readings = _read(contest, ReasonsReading, ReasonsScore, key, "hundredths", _points)
    return tuple(ReasonsRead._make((*of, how)) for of, how in readings)


def _marks(contest: Contest) -> tuple[MarkRead, ...]:
    key = ("part__code", "contestant__number", "team__division__code", "team__name")
    readings = _read(contest, MarkReading, Mark, key, "hundredths", _points)
    marks = (MarkRead(of[0], of[1], of[2] or "", of[3] or "", how) for of, how in readings)
    return (*marks, *_answers(contest))


def _read(
    contest: Contest,
    reading: Any,
    result: Any,
    key: tuple[str, ...],
    value: str,
    written: Callable[[Any], str],
    **only: Any,
) -> Iterable[tuple[tuple[Any, ...], HowRead]]:
    """How each card, score or mark was read, in the order in which they are known."""
    of_contest = only | {way_to_contest(reading): contest}
    readings: defaultdict[tuple[Any, ...], list[tuple[Given[Any], str]]] = defaultdict(list)
    columns = (*key, value, "reason", "by", "decides", "source")
    for row in reading.objects.filter(**of_contest, withdrawn_at=None).order_by("pk").values_list(*columns):
        of, (said, reason, by, decides, source) = row[: len(key)], row[len(key) :]
        readings[of].append((Given(said, by, decides, source == Source.OFFICIAL), reason))
    results = result.objects.filter(**only | {way_to_contest(result): contest})
    for *of, counts, second in results.values_list(*key, value, "second"):
        how = _how(readings[tuple(of)], counts, second, written)
        if any(how):
            yield tuple(of), how


def _how(readings: list[tuple[Given[Any], str]], counts: Any, second: Any, written: Callable[[Any], str]) -> HowRead:
    """Of several readings those two that say what counts, and what stands beside it; of decisions the last."""
    decisions = [reading for reading in readings if reading[0].decides]
    others = [given for given, _ in readings if not given.decides]
    decided = ""
    if decisions:
        first, decided = decisions[-1]
    elif others:
        first = next((given for given in others if given.value == counts), others[0])
        others.remove(first)
        decided = BY_OFFICIAL if first.is_source and not others else ""
    else:
        return HowRead()
    beside = next((given for given in others if given.value == second), others[0] if others else None)
    by, second_by = (given.reader if given and given.reader not in (BOOK, SECOND) else "" for given in (first, beside))
    return HowRead(by, written(beside.value) if beside else "", second_by, "" if decided == BOOK else decided)


def _points(hundredths: Points) -> str:
    return NONE if hundredths is None else written_hundredths(hundredths)


def points_of(written: str) -> Points:
    """What a second reading says, whose words were checked when the book was read."""
    if written == NONE:
        return None
    points = read_hundredths(written)
    assert isinstance(points, int)
    return points


def card_of(written: str) -> str:
    return NO_CARD if written == NONE else written
