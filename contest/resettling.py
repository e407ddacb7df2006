"""Settling what was read anew, when the rule that says how many readings settle a card changes."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from django.db.models import Model

from contest.changes import changes, take_turn
from contest.models import Card, Contest, Contestant, JudgingClass, Mark, MarkReading, Reading
from contest.reading import settle_card
from reasons.models import ReasonsReading, ReasonsScore
from scoring.record import NO_CARD
from scoring.settling import Given, settle

BATCH = 500

# Each kind of reading: what it settles, the contest's rows of it, what it is of, and what its value is called.
CARDS = (Reading, Card, "judging_class__contest", ("judging_class_id", "contestant_id"), "placing", NO_CARD)
REASONS = (
    ReasonsReading,
    ReasonsScore,
    "judging_class__contest",
    ("judging_class_id", "contestant_id", "official_id"),
    "hundredths",
    None,
)
MARKS = (MarkReading, Mark, "part__contest", ("part_id", "contestant_id", "team_id"), "hundredths", None)


@changes
def resettle_contest(contest: Contest) -> int:
    """Bring every card, reasons score and mark in step with its readings, and return how many that altered.

    For a change of `readings_per_card` or `same_reader_twice`, in its transaction; that change writes the trail. The
    same outcome as `contest.reading.settle_card` for each card, in a handful of statements: a contest has thousands.
    """
    take_turn(contest.pk)
    return sum(_resettle(contest, *kind) for kind in (CARDS, REASONS, MARKS))


@changes
def resettle_class(judging_class: JudgingClass) -> None:
    """Make cards of the readings that were stray until the class's divisions changed."""
    readings = Reading.objects.filter(judging_class=judging_class, withdrawn_at__isnull=True)
    for contestant in Contestant.objects.filter(pk__in=readings.values("contestant")):
        settle_card(judging_class, contestant)


def states_if(contest: Contest, rules: Sequence[tuple[int, bool]]) -> list[Counter[str]]:
    """How many cards would be settled, read once and doubtful under each of some rules; nothing is changed.

    A rule is how many readings settle a card, and whether one helper may give both.
    """
    given = [readings for _card, readings in _given(contest, *CARDS)]
    settled = ([settle(readings, *rule, nothing=NO_CARD) for readings in given] for rule in rules)
    return [Counter(settlement.state for settlement in found if settlement) for found in settled]


def _resettle(contest: Contest, *kind: Any) -> int:
    *_, value, nothing = kind
    altered = []
    for row, readings in _given(contest, *kind):
        settlement = settle(readings, contest.readings_per_card, contest.same_reader_twice, nothing)
        if settlement is None:
            continue
        if (settlement.value, settlement.second, settlement.state) != (getattr(row, value), row.second, row.state):
            setattr(row, value, settlement.value)
            row.second, row.state = settlement.second, settlement.state
            altered.append(row)
    if altered:
        type(altered[0])._default_manager.bulk_update(altered, [value, "second", "state"], batch_size=BATCH)
    return len(altered)


def _given(
    contest: Contest,
    readings: type[Model],
    rows: type[Model],
    of_contest: str,
    about: tuple[str, ...],
    value: str,
    _nothing: Any,
) -> Iterator[tuple[Any, list[Given]]]:
    """Each row that readings have made, with its readings, oldest first."""
    given = defaultdict(list)
    found = readings._default_manager.filter(**{of_contest: contest}, withdrawn_at__isnull=True).order_by("pk")
    for *what, said, by, decides in found.values_list(*about, value, "by", "decides"):
        given[tuple(what)].append(Given(said, by.casefold(), decides))
    for row in rows._default_manager.filter(**{of_contest: contest}):
        yield row, given[tuple(getattr(row, name) for name in about)]
