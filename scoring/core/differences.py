"""How one result of a contest differs from another: for saying what a correction changes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from scoring.core.record import Record
from scoring.core.result import IndividualRow, Result, TeamRow

Key = int | str
"""What a row of a list is known by: a contestant's number or a team's name."""


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
    """A score that is not what it was: of a contestant's number, or of a team in its division."""

    whose: int | tuple[str, str]
    item: str
    old: Fraction | None
    new: Fraction | None


@dataclass(frozen=True, slots=True)
class Differences:
    """`keys` are the classes whose key is another one, or that became void or count again; `people` the numbers of
    those whose name, division or team is another one, or who became ineligible or came; `standardised` whether reasons
    are standardised now and were not, or the other way round; `outline` whether anything else that is printed differs,
    such as what a class is called. Whether a name may be shown is no difference: that holds at once, announced or not.
    """

    lists: tuple[ListDifference, ...] = ()
    scores: tuple[ScoreDifference, ...] = ()
    keys: tuple[int, ...] = ()
    people: tuple[int, ...] = ()
    standardised: bool = False
    outline: bool = False

    def __bool__(self) -> bool:
        return bool(
            self.lists or self.scores or self.keys or self.people or self.standardised or self.outline,
        )

    @property
    def fingerprint(self) -> str:
        """Stands for these differences, so that nobody announces others than they saw."""
        return hashlib.sha256(repr(self).encode()).hexdigest()[:16]


def differences(old: Record, old_result: Result, new: Record, new_result: Result) -> Differences:
    """Everything that the public, or whoever takes a sheet home, would see otherwise now."""
    if old == new:
        return Differences()
    return Differences(
        tuple(_lists(old_result, new_result)),
        tuple(_scores(old_result, new_result)),
        tuple(_keys(old, new)),
        tuple(_people(old, new)),
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


def _points(result: Result) -> dict[tuple[int | tuple[str, str], str], Fraction]:
    points: dict[tuple[int | tuple[str, str], str], Fraction] = {}
    for scores in result.scores:
        points.update(((number, scores.item), p) for number, p in zip(scores.numbers, scores.points, strict=True))
    for of_teams in result.team_scores:
        for team, p in zip(of_teams.teams, of_teams.points, strict=True):
            points[(of_teams.division, team), of_teams.item] = p
    return points


def _keys(old: Record, new: Record) -> Iterator[int]:
    before, after = ({c.number: (c.official, c.cuts, c.void) for c in record.classes} for record in (old, new))
    yield from sorted(number for number in before.keys() | after.keys() if before.get(number) != after.get(number))


def _people(old: Record, new: Record) -> Iterator[int]:
    before, after = (
        {c.number: (c.first_name, c.last_name, c.division, c.team) for c in record.contestants if c.present}
        for record in (old, new)
    )
    yield from sorted(number for number in before.keys() | after.keys() if before.get(number) != after.get(number))


def _outline(record: Record) -> object:
    """What is printed beside the scores and ranks."""
    rules = record.rules
    classes = tuple((c.number, c.name, c.divisions, c.category, c.perfect) for c in record.classes)
    return rules.name, rules.held_on, rules.place, record.divisions, record.categories, classes, record.parts
