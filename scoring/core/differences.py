"""How one result of a contest differs from another: for saying what a correction changes."""

from __future__ import annotations

import hashlib
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from scoring.core.due import known_to_be_unsettled
from scoring.core.record import Day, Mark, NoMark, NoReasons, ReasonsScore, Record
from scoring.core.result import IndividualRow, Result, TeamRow

Key = int | str
"""What a row of a list is known by: a contestant's number or a team's name."""

Whose = int | tuple[str, str]
"""Whose a score is: a contestant's number, or a team's division and name."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a row stands in a list, and who counts there for a team."""

    rank: int
    total: Fraction
    counting: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Moved:
    """A row that is not what it was. `old` or `new` is None where the list did not, or does not, have it."""

    whose: Key
    old: Place | None
    new: Place | None


@dataclass(frozen=True, slots=True)
class ListDifference:
    """The rows of one list that moved, in the order of their new ranks. `kind` is individuals or teams."""

    division: str
    code: str
    kind: str
    rows: tuple[Moved, ...]


@dataclass(frozen=True, slots=True)
class ScoreDifference:
    """A score that is not what it was."""

    whose: Whose
    item: str
    old: Fraction | None
    new: Fraction | None


@dataclass(frozen=True, slots=True)
class Differences:
    """`keys` are the classes whose key is another one, or that became void or count again; `people` the numbers of
    those whose name, division or team is another one, or who became ineligible or came; `slips` whose cards, reasons
    scores or marks say something else and score the same, and `doubts` whose cards became doubtful or certain; `ties`
    whether a tie was decided, or otherwise; `standardised` whether reasons are standardised now and were not, or the
    other way round; `outline` whether anything else that is printed differs, such as what a class is called. Whether a
    name may be shown is no difference: that holds at once, announced or not.
    """

    lists: tuple[ListDifference, ...] = ()
    scores: tuple[ScoreDifference, ...] = ()
    keys: tuple[int, ...] = ()
    people: tuple[int, ...] = ()
    slips: tuple[Whose, ...] = ()
    doubts: tuple[int, ...] = ()
    ties: bool = False
    standardised: bool = False
    outline: bool = False

    def __bool__(self) -> bool:
        return self != Differences()

    @property
    def fingerprint(self) -> str:
        """Stands for these differences, so that nobody announces others than they saw."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]


def differences(old: Record, old_result: Result, new: Record, new_result: Result) -> Differences:
    """Everything that the public, or whoever takes a sheet home, would see otherwise now."""
    if old == new:
        return Differences()
    scores = tuple(_scores(old_result, new_result))
    return Differences(
        tuple(_lists(old_result, new_result)),
        scores,
        tuple(_keys(old, new)),
        tuple(_people(old, new)),
        tuple(_slips(old, new, {(score.whose, score.item) for score in scores})),
        tuple(sorted({number for number, _item in _in_doubt(old, new) ^ _in_doubt(new, old)})),
        set(old.decided) != set(new.decided),
        old.rules.reasons_standardised != new.rules.reasons_standardised,
        _outline(old) != _outline(new),
    )


def _lists(old: Result, new: Result) -> Iterator[ListDifference]:
    before, after = _places(old), _places(new)
    for name in dict.fromkeys([*after, *before]):
        was, now = before.get(name, {}), after.get(name, {})
        moved = [Moved(whose, was.get(whose), now.get(whose)) for whose in dict.fromkeys([*now, *was])]
        moved = [row for row in moved if row.old != row.new]
        if moved:
            yield ListDifference(*name, tuple(moved))


def _places(result: Result) -> dict[tuple[str, str, str], dict[Key, Place]]:
    """The rows of every list, best first."""
    return {
        (standing.division, standing.code, kind): dict(map(_place, rows))
        for standing in result.standings
        for kind, rows in _both(standing.individuals, standing.teams)
    }


def _both(
    individuals: Iterable[IndividualRow], teams: Iterable[TeamRow]
) -> Iterator[tuple[str, Iterable[IndividualRow | TeamRow]]]:
    yield "individuals", individuals
    yield "teams", teams


def _place(row: IndividualRow | TeamRow) -> tuple[Key, Place]:
    if isinstance(row, TeamRow):
        return row.team, Place(row.rank, row.total, row.counting)
    return row.number, Place(row.rank, row.total)


def _scores(old: Result, new: Result) -> Iterator[ScoreDifference]:
    before, after = _points(old), _points(new)
    for name in dict.fromkeys([*after, *before]):
        if before.get(name) != after.get(name):
            yield ScoreDifference(*name, before.get(name), after.get(name))


def _points(result: Result) -> dict[tuple[Whose, str], Fraction]:
    points: dict[tuple[Whose, str], Fraction] = {}
    for scores in result.scores:
        points.update(((number, scores.item), p) for number, p in zip(scores.numbers, scores.points, strict=True))
    for of_teams in result.team_scores:
        for team, p in zip(of_teams.teams, of_teams.points, strict=True):
            points[(of_teams.division, team), of_teams.item] = p
    return points


def _keys(old: Record, new: Record) -> Iterator[int]:
    before, after = (
        {c.number: (c.official, c.cuts, c.void, c.void_divisions, c.full_points) for c in record.classes}
        for record in (old, new)
    )
    yield from sorted(number for number in before.keys() | after.keys() if before.get(number) != after.get(number))


def _people(old: Record, new: Record) -> Iterator[int]:
    before, after = (
        {c.number: (c.first_name, c.last_name, c.division, c.team, c.ranked) for c in record.contestants if c.present}
        for record in (old, new)
    )
    yield from sorted(number for number in before.keys() | after.keys() if before.get(number) != after.get(number))


def _slips(old: Record, new: Record, scored: Container[tuple[Whose, str]]) -> Iterator[Whose]:
    """Whose slips say something else, without those that are told as a score already."""
    before, after = dict(_said(old, new)), dict(_said(new, old))
    changed = {slip[:2] for slip in before.keys() | after.keys() if before.get(slip) != after.get(slip)}
    yield from sorted({whose for whose, item in changed if (whose, item) not in scored}, key=_numbers_first)


def _numbers_first(whose: Whose) -> tuple[bool, str | int, str]:
    return (True, *whose) if isinstance(whose, tuple) else (False, whose, "")


def _said(record: Record, other: Record) -> Iterator[tuple[tuple[Whose, str, str], str | int]]:
    """What is on the slips that another record has not as they are: of whom, on what, by which official."""
    here = {c.number for c in record.contestants if c.present}
    for card in set(record.cards).difference(other.cards):
        if card.number in here:
            yield (card.number, f"class:{card.class_number}", ""), card.placing
    scores: set[ReasonsScore | NoReasons] = {*record.reasons, *record.no_reasons}
    for score in scores.difference(other.reasons, other.no_reasons):
        if score.number in here:
            item = f"reasons:{score.class_number}"
            yield (score.number, item, score.official), getattr(score, "hundredths", "no score")
    marks: set[Mark | NoMark] = {*record.marks, *record.no_marks}
    for mark in marks.difference(other.marks, other.no_marks):
        if mark.number is None or mark.number in here:
            whose = (mark.division, mark.team) if mark.number is None else mark.number
            yield (whose, f"part:{mark.part}", ""), getattr(mark, "hundredths", "no mark")
    for choice in set(record.choices).difference(other.choices):
        if choice.number in here:
            yield (choice.number, f"part:{choice.part}", ""), choice.kept


def _in_doubt(record: Record, other: Record) -> set[tuple[int, str]]:
    """The cards that are in doubt, of those that another record has not as they are."""
    cards = set(record.cards).difference(other.cards)
    return set(known_to_be_unsettled(record, [c for c in cards if c.second not in (None, c.placing)]).items)


SHOWN_TO_NOBODY: dict[str, Any] = {
    "readings_per_card": 1,
    "same_reader_twice": False,
    "starts_at": None,
    "minutes_per_class": 0,
}
TOLD_OTHERWISE: dict[str, Any] = {"reasons_standardised": False, "show_people_as": "number"}
TOLD_BY_ITSELF: dict[str, Any] = {
    "contestants": (),
    "cards": (),
    "reasons": (),
    "marks": (),
    "no_reasons": (),
    "no_marks": (),
    "choices": (),
    "day": Day(),
    "decided": (),
}


def _outline(record: Record) -> Record:
    """The record without what is told otherwise, and what nobody is shown."""
    rules = replace(record.rules, **SHOWN_TO_NOBODY, **TOLD_OTHERWISE)
    classes = tuple(
        replace(judged, official=None, cuts=None, void=False, void_divisions=(), full_points=False)
        for judged in record.classes
    )
    return replace(record, rules=rules, classes=classes, **TOLD_BY_ITSELF)
