"""What the readings of a contest say of themselves: how often two readers differed, and what else was looked at."""

from __future__ import annotations

from collections import OrderedDict, defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

from contest.changes.locks import MemoryLock
from contest.models import ChoiceReading, Contest, MarkReading, Reading, ReasonsReading, Source
from contest.records.day import BOOK
from contest.slips.slip import of_contest
from contest.trail.touched import touched_since
from scoring.core.binomial import exact_interval
from scoring.core.fields import Field


@dataclass(frozen=True, slots=True)
class Compared:
    """Of `both` cards and scores that two people read, they differed on `differed`. One of the two misread each of
    those, so a single reader misreads half of that share."""

    both: int
    differed: int

    @property
    def rate(self) -> float:
        return self.differed / self.both / 2

    @property
    def interval(self) -> tuple[float, float]:
        """The exact one, that holds the true rate 95 times in 100."""
        low, high = exact_interval(self.differed, self.both)
        return low / 2, high / 2


@dataclass(frozen=True, slots=True)
class Looked:
    """`sure` are the fields at which somebody looked beyond the readings that every one gets: read once more, decided
    with the paper in hand, or entered by the official, so that nothing was copied. `both` were read by two people, and
    on `differed` of those they differed."""

    sure: frozenset[Field]
    both: frozenset[Field]
    differed: frozenset[Field]

    @property
    def compared(self) -> Compared:
        return Compared(len(self.both), len(self.differed))

    def with_news(self, fields: Collection[Field], news: Looked) -> Looked:
        """The same with what was found of these fields anew."""
        return Looked(
            self.sure.difference(fields) | news.sure,
            self.both.difference(fields) | news.both,
            self.differed.difference(fields) | news.differed,
        )


CONTESTS_KEPT = 4
"""One live contest and a few that somebody looks back at."""

_kept: OrderedDict[int, tuple[int, Looked]] = OrderedDict()
_lock = MemoryLock()


def looked_at_by_now(contest: Contest) -> Looked:
    """What was looked at up to the revision that `contest` was loaded with, in the same snapshot. Where only cards were
    read since it was last asked, no more than those cards are looked at."""
    with _lock:
        revision, before = _kept.get(contest.pk, (0, None))
    touched = touched_since(contest, revision) if before and revision <= contest.revision else None
    if before is None or touched is None or touched.cards is None:
        looked = looked_at(contest)
    else:
        fields = {Field(f"class:{judged}", number) for judged, number in touched.cards}
        looked = before.with_news(fields, looked_at(contest, touched.cards)) if fields else before
    with _lock:
        _kept[contest.pk] = contest.revision, looked
        _kept.move_to_end(contest.pk)
        while len(_kept) > CONTESTS_KEPT:
            _kept.popitem(last=False)
    return looked


def forget_all() -> None:
    """Drop what is kept: for tests, whose databases start over with the same keys."""
    with _lock:
        _kept.clear()


def looked_at(contest: Contest, cards: Collection[tuple[int, int]] | None = None) -> Looked:
    """From the readings that count; of some `cards` alone, by class and number."""
    sure, both, differed = set(), set(), set()
    for field, readings in _by_field(contest, cards):
        if len(readings) == 1 and not readings[0][3] and readings[0][2] == Source.PAPER:
            continue  # read once, as most scores are
        people = {by.casefold() for _value, by, _source, decides, _why in readings if not decides}
        decided = any(decides and why != BOOK for *_reading, decides, why in readings)  # a book decides nothing anew
        entered = any(source == Source.OFFICIAL for _value, _by, source, *_rest in readings)
        agree = len({value for value, _by, _source, decides, _why in readings if not decides}) == 1
        if decided or entered or (agree and len(people) > contest.readings_per_card):
            sure.add(field)
        first: dict[str, Any] = {}
        for value, by, source, decides, _why in readings:
            if not decides and source == Source.PAPER and value not in ("", None):
                first.setdefault(by.casefold(), value)
        if len(first) > 1:
            one, other, *_more = first.values()
            both.add(field)
            if one != other:
                differed.add(field)
    return Looked(frozenset(sure), frozenset(both), frozenset(differed))


def _by_field(
    contest: Contest, among: Collection[tuple[int, int]] | None
) -> Iterator[tuple[Field, list[tuple[Any, str, str, bool, str]]]]:
    """The readings of each slip, oldest first: what each says, by whom, from what, whether it decides, and why."""
    readings: defaultdict[Field, list[tuple[Any, str, str, bool, str]]] = defaultdict(list)
    how = ("by", "source", "decides", "reason")
    cards = of_contest(contest, Reading).filter(withdrawn_at__isnull=True, contestant__isnull=False).order_by("pk")
    if among is not None:
        classes, numbers = ({card[part] for card in among} for part in (0, 1))
        people = list(contest.contestants.filter(number__in=numbers).values_list("pk", flat=True))
        cards = cards.filter(judging_class__number__in=classes, contestant__in=people)
    for number, who, *said in cards.values_list("judging_class__number", "contestant__number", "placing", *how):
        if among is None or (number, who) in among:
            readings[Field(f"class:{number}", who)].append(tuple(said))
    if among is not None:
        yield from readings.items()
        return
    scores = of_contest(contest, ReasonsReading).filter(withdrawn_at__isnull=True).order_by("pk")
    names = ("judging_class__number", "contestant__number", "official__name", "hundredths")
    for number, who, official, *said in scores.values_list(*names, *how):
        readings[Field(f"reasons:{number}", who, official=official)].append(tuple(said))
    marks = of_contest(contest, MarkReading).filter(withdrawn_at__isnull=True).order_by("pk")
    whose = ("part__code", "contestant__number", "team__division__code", "team__name", "hundredths")
    for code, who, division, team, *said in marks.values_list(*whose, *how):
        field = Field(f"part:{code}", who) if who else Field(f"part:{code}", 0, division, team)
        readings[field].append(tuple(said))
    choices = (
        of_contest(contest, ChoiceReading).filter(withdrawn_at__isnull=True, contestant__isnull=False).order_by("pk")
    )
    for code, who, *said in choices.values_list("part__code", "contestant__number", "chosen", *how):
        readings[Field(f"part:{code}", who)].append(tuple(said))
    yield from readings.items()
