"""The rows of a list of awards, and how the announcer says them. Nothing here asks the database."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, pgettext

from scoring.core.explain import how_ties_fell, list_names
from scoring.core.points import figure
from scoring.core.record import Record
from scoring.core.result import IndividualRow, Result, Standing, TeamRow

INDIVIDUALS = "individuals"
TEAMS = "teams"

LISTS = {INDIVIDUALS: gettext_noop("individuals"), TEAMS: gettext_noop("teams")}
"""What each kind of list ranks."""


class ListKey(NamedTuple):
    """Which list: `code` as a standing has it, `kind` INDIVIDUALS or TEAMS."""

    division: str
    code: str
    kind: str


class AwardRow(NamedTuple):
    """One row of a list. `number` is None for a team; `counting` are the members who count for it."""

    rank: int
    tied: bool
    number: int | None
    team: str
    total: str
    counting: tuple[int, ...] = ()

    @property
    def place(self) -> str:
        return place_in_words(self.rank, self.tied)


@dataclass(frozen=True, slots=True)
class NamedList:
    """A list that could be read, with what it is called."""

    key: ListKey
    division: str
    title: str

    @property
    def kind(self) -> str:
        return self.key.kind

    @property
    def ranks(self) -> str:
        """What it ranks, in a word."""
        return _(LISTS[self.kind])

    def __str__(self) -> str:
        if self.kind == TEAMS:
            return _("{division}, {title}, teams").format(division=self.division, title=self.title)
        return _("{division}, {title}, individuals").format(division=self.division, title=self.title)


def named_lists(record: Record, result: Result) -> list[NamedList]:
    """Every list that has rows of its kind, in the contest's order."""
    divisions = record.division_names
    titles = list_names(record)
    return [
        NamedList(ListKey(standing.division, standing.code, kind), divisions[standing.division], titles[standing.code])
        for standing in result.standings
        for kind, rows in ((INDIVIDUALS, standing.individuals), (TEAMS, standing.teams))
        if rows
    ]


def rows_of(result: Result, key: ListKey, places: int | None = None) -> list[AwardRow]:
    """The rows of a list from the first down to the last place that is read; none where there is no such list.

    Whoever shares that last place is read too.
    """
    standing = _standing(result, key)
    if standing is None:
        return []
    rows = _ranked(standing, key.kind)
    return rows if places is None else [row for row in rows if row.rank <= places]


def ties_of(record: Record, result: Result, key: ListKey, rows: Sequence[AwardRow]) -> list[str]:
    """How each of these rows of a list came to its place, in the words of the lists; empty where nobody had its total.

    Not a word is said of anybody who is not in `rows`: whoever is still to be revealed must not be told of.
    """
    standing = _standing(result, key)
    if standing is None:
        return [""] * len(rows)
    numbers, teams = {row.number for row in rows}, {row.team for row in rows if row.number is None}
    shown = replace(
        standing,
        individuals=tuple(row for row in standing.individuals if row.number in numbers),
        teams=tuple(row for row in standing.teams if row.team in teams),
    )
    return how_ties_fell(record, result, shown)[key.kind == TEAMS]


def _standing(result: Result, key: ListKey) -> Standing | None:
    return next((standing for standing in result.standings if (standing.division, standing.code) == key[:2]), None)


def _ranked(standing: Standing, kind: str) -> list[AwardRow]:
    if kind == TEAMS:
        shared = _shared(standing.teams)
        return [
            AwardRow(row.rank, row.rank in shared, None, row.team, figure(row.total), row.counting)
            for row in standing.teams
        ]
    shared = _shared(standing.individuals)
    return [
        AwardRow(row.rank, row.rank in shared, row.number, row.team, figure(row.total)) for row in standing.individuals
    ]


def _shared(rows: Iterable[IndividualRow] | Iterable[TeamRow]) -> set[int]:
    return {rank for rank, count in Counter(row.rank for row in rows).items() if count > 1}


def split(rows: Sequence[AwardRow], revealed: int) -> tuple[Sequence[AwardRow], Sequence[AwardRow]]:
    """The rows that are still hidden, and those that are revealed; both from the first down."""
    hidden = max(len(rows) - revealed, 0)
    return rows[:hidden], rows[hidden:]


def ordinal(number: int) -> str:
    """`third`; figures from the twenty-first on: `22nd`."""
    if 0 < number <= len(ordinals := _ordinals()):
        return ordinals[number - 1]
    last = 0 if number % 100 in (11, 12, 13) else number % 10
    # Translators: an ordinal in figures; where all are alike in a language, so are these four.
    endings = {
        1: pgettext("ordinal", "{number}st"),
        2: pgettext("ordinal", "{number}nd"),
        3: pgettext("ordinal", "{number}rd"),
    }
    return endings.get(last, pgettext("ordinal", "{number}th")).format(number=number)


def _ordinals() -> tuple[str, ...]:
    return (
        # Translators: an ordinal may bring the word for place, as "primer lugar", if "{ordinal} place" does not.
        pgettext("ordinal", "first"),
        pgettext("ordinal", "second"),
        pgettext("ordinal", "third"),
        pgettext("ordinal", "fourth"),
        pgettext("ordinal", "fifth"),
        pgettext("ordinal", "sixth"),
        pgettext("ordinal", "seventh"),
        pgettext("ordinal", "eighth"),
        pgettext("ordinal", "ninth"),
        pgettext("ordinal", "tenth"),
        pgettext("ordinal", "eleventh"),
        pgettext("ordinal", "twelfth"),
        pgettext("ordinal", "thirteenth"),
        pgettext("ordinal", "fourteenth"),
        pgettext("ordinal", "fifteenth"),
        pgettext("ordinal", "sixteenth"),
        pgettext("ordinal", "seventeenth"),
        pgettext("ordinal", "eighteenth"),
        pgettext("ordinal", "nineteenth"),
        pgettext("ordinal", "twentieth"),
    )


def place_in_words(rank: int, tied: bool) -> str:
    """`third place`, `tied for third place`."""
    if tied:
        return _("tied for {ordinal} place").format(ordinal=ordinal(rank))
    return _("{ordinal} place").format(ordinal=ordinal(rank))


def capitalised(text: str) -> str:
    return text[:1].upper() + text[1:]
