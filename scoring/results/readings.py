"""What the readings of a contest say of themselves: how often two readers differed, and what else was looked at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from contest.models import ChoiceReading, Contest, MarkReading, Reading, ReasonsReading, Source
from contest.records.day import BOOK
from contest.slips.slip import of_contest
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
    with the paper in hand, or entered by the official, so that nothing was copied."""

    compared: Compared
    sure: frozenset[Field]


def looked_at(contest: Contest) -> Looked:
    """From the readings that count."""
    both = differed = 0
    sure = set()
    for field, readings in _by_field(contest):
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
            both += 1
            differed += one != other
    return Looked(Compared(both, differed), frozenset(sure))


def _by_field(contest: Contest) -> Iterator[tuple[Field, list[tuple[Any, str, str, bool, str]]]]:
    """The readings of each slip, oldest first: what each says, by whom, from what, whether it decides, and why."""
    readings: defaultdict[Field, list[tuple[Any, str, str, bool, str]]] = defaultdict(list)
    how = ("by", "source", "decides", "reason")
    cards = of_contest(contest, Reading).filter(withdrawn_at__isnull=True, contestant__isnull=False).order_by("pk")
    for number, who, *said in cards.values_list("judging_class__number", "contestant__number", "placing", *how):
        readings[Field(f"class:{number}", who)].append(tuple(said))
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
