"""Settling what was read anew, when the rule that says how many readings settle a card changes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db.models import Model

from contest.changes import take_turn
from contest.models import (
    Card,
    Contest,
    Contestant,
    JudgingClass,
    Mark,
    MarkReading,
    Reading,
    ReasonsReading,
    ReasonsScore,
)
from contest.slips.reading import settle_card
from scoring.core.record import NO_CARD
from scoring.core.settling import Given, settle

BATCH = 500


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of reading, and the rows that are what its readings come to.

    `about` names what a row is of; `value` what its readings say; `nothing` is the value that means no card.
    """

    readings: type[Model]
    rows: type[Model]
    contest: str
    about: tuple[str, ...]
    value: str
    nothing: Any = None


CARDS = Kind(Reading, Card, "judging_class__contest", ("judging_class_id", "contestant_id"), "placing", NO_CARD)
REASONS = Kind(
    ReasonsReading,
    ReasonsScore,
    "judging_class__contest",
    ("judging_class_id", "contestant_id", "official_id"),
    "hundredths",
)
MARKS = Kind(MarkReading, Mark, "part__contest", ("part_id", "contestant_id", "team_id"), "hundredths")


def resettle_contest(contest: Contest) -> int:
    """Bring every card, reasons score and mark in step with its readings, and return how many that altered.

    For a change of `readings_per_card` or `same_reader_twice`, in its transaction; that change writes the trail. The
    same outcome as `contest.slips.reading.settle_card` for each card, in few statements: a contest has thousands.
    """
    take_turn(contest.pk)
    return sum(_resettle(contest, kind) for kind in (CARDS, REASONS, MARKS))


def resettle_class(judging_class: JudgingClass) -> None:
    """Make cards of the readings that were stray until the class's divisions changed, in the transaction that does."""
    readings = Reading.objects.filter(judging_class=judging_class, withdrawn_at__isnull=True)
    strays = Contestant.objects.filter(pk__in=readings.values("contestant")).exclude(cards__judging_class=judging_class)
    for contestant in strays:
        settle_card(judging_class, contestant)


def states_if(contest: Contest, rules: Sequence[tuple[int, bool]]) -> list[Counter[str]]:
    """How many cards would be settled, read once and doubtful under each of some rules; nothing is changed.

    A rule is how many readings settle a card, and whether one helper may give both.
    """
    alike = Counter(readings for _row, readings in _rows(contest, CARDS))
    found = []
    for rule in rules:
        states: Counter[str] = Counter()
        for readings, cards in alike.items():
            if settlement := settle(readings, *rule, nothing=NO_CARD):
                states[settlement.state] += cards
        found.append(states)
    return found


def _resettle(contest: Contest, kind: Kind) -> int:
    @cache
    def settled(readings: tuple[Given, ...]) -> tuple[Any, ...] | None:
        settlement = settle(readings, contest.readings_per_card, contest.same_reader_twice, kind.nothing)
        return settlement and (settlement.value, settlement.second, settlement.state)

    # By what they come to: rows that come to the same are altered by one statement, which is many times faster.
    altered = defaultdict(list)
    for (pk, *now), readings in _rows(contest, kind):
        outcome = settled(readings)
        if outcome and outcome != tuple(now):
            altered[outcome].append(pk)
    for (value, second, state), rows in altered.items():
        for start in range(0, len(rows), BATCH):
            some = kind.rows._default_manager.filter(pk__in=rows[start : start + BATCH])
            some.update(**{kind.value: value, "second": second, "state": state})
    return sum(map(len, altered.values()))


def _rows(contest: Contest, kind: Kind) -> Iterator[tuple[tuple[Any, ...], tuple[Given, ...]]]:
    """Each row that readings have made, as (key, value, second, state), with its readings, oldest first."""
    given = defaultdict(list)
    alike = cache(Given)  # tens of thousands of readings say a few things
    found = kind.readings._default_manager.filter(**{kind.contest: contest}, withdrawn_at__isnull=True).order_by("pk")
    of = len(kind.about)
    for row in found.values_list(*kind.about, kind.value, *kind.readings.COUNTS_BY):
        said, by, *how = row[of:]
        given[row[:of]].append(alike(said, by.casefold(), *how))
    rows = kind.rows._default_manager.filter(**{kind.contest: contest})
    for pk, value, second, state, *about in rows.values_list("pk", kind.value, "second", "state", *kind.about):
        yield (pk, value, second, state), tuple(given[tuple(about)])
