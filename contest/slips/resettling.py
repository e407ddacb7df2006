"""Settling what was read anew, when the rule that says how many readings settle a card changes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Any

from contest.changes import take_turn
from contest.models import ChoiceReading, Contest, Contestant, JudgingClass, Part, Reading
from contest.slips.cards import CardSlip
from contest.slips.choices import ChoiceSlip
from contest.slips.kinds import KINDS
from contest.slips.reading import settle_slip
from contest.slips.slip import COUNTS_BY, Slip, given, of_contest
from scoring.core.settling import Given, settle

BATCH = 500


def resettle_contest(contest: Contest) -> int:
    """Bring every card, reasons score and mark in step with its readings, and return how many that altered.

    For a change of `readings_per_card` or `same_reader_twice`, in its transaction; that change writes the trail. The
    same outcome as `contest.slips.reading.settle_slip` for each slip, in few statements: a contest has thousands.
    """
    take_turn(contest.pk)
    return sum(_resettle(contest, kind) for kind in KINDS)


def resettle_class(judging_class: JudgingClass) -> None:
    """Make cards of the readings that were stray until the class's divisions changed, in the transaction that does."""
    readings = Reading.objects.filter(judging_class=judging_class, withdrawn_at__isnull=True)
    strays = Contestant.objects.filter(pk__in=readings.values("contestant")).exclude(cards__judging_class=judging_class)
    for contestant in strays:
        settle_slip(CardSlip(judging_class, contestant.number, contestant))


def resettle_part(part: Part) -> None:
    """The same of what was chosen in a part."""
    readings = ChoiceReading.objects.filter(part=part, withdrawn_at__isnull=True)
    people = Contestant.objects.filter(pk__in=readings.values("contestant")).exclude(choices__part=part)
    for contestant in people:
        settle_slip(ChoiceSlip(part, contestant))


def states_if(contest: Contest, rules: Sequence[tuple[int, bool]]) -> list[Counter[str]]:
    """How many cards would be settled, read once and doubtful under each of some rules; nothing is changed.

    A rule is how many readings settle a card, and whether one helper may give both.
    """
    alike = Counter(readings for _row, readings in _rows(contest, CardSlip))
    changes = []
    for rule in rules:
        states: Counter[str] = Counter()
        for readings, cards in alike.items():
            if settlement := settle(readings, *rule, nothing=CardSlip.nothing):
                states[settlement.state] += cards
        changes.append(states)
    return changes


def _resettle(contest: Contest, kind: type[Slip]) -> int:
    @cache
    def settled(readings: tuple[Given[Any], ...]) -> tuple[Any, ...] | None:
        settlement = settle(readings, contest.readings_per_card, contest.same_reader_twice, kind.nothing)
        return (settlement.value, settlement.second, settlement.state) if settlement else None

    # By what they come to: rows that come to the same are altered by one statement, which is many times faster.
    altered = defaultdict(list)
    for (pk, *now), readings in _rows(contest, kind):
        outcome = settled(readings)
        if outcome and outcome != tuple(now):
            altered[outcome].append(pk)
    for (value, second, state), rows in altered.items():
        for start in range(0, len(rows), BATCH):
            some = kind.results._default_manager.filter(pk__in=rows[start : start + BATCH])
            some.update(**{kind.value: value, "second": second, "state": state})
    return sum(map(len, altered.values()))


def _rows(contest: Contest, kind: type[Slip]) -> Iterator[tuple[tuple[Any, ...], tuple[Given[Any], ...]]]:
    """Each row that readings have made, as (key, value, second, state), with its readings, oldest first."""
    about, of = [f"{name}_id" for name in kind.about], len(kind.about)
    by_slip = defaultdict(list)
    alike = cache(given)  # tens of thousands of readings say a few things
    readings = of_contest(contest, kind.readings).filter(withdrawn_at__isnull=True).order_by("pk")
    for row in readings.values_list(*about, kind.value, *COUNTS_BY):
        by_slip[row[:of]].append(alike(*row[of:]))
    rows = of_contest(contest, kind.results).values_list("pk", kind.value, "second", "state", *about)
    for pk, value, second, state, *slip in rows:
        yield (pk, value, second, state), tuple(by_slip[tuple(slip)])
