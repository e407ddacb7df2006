"""The tables of an event in words: whose they are, what each contest gave, and how ties fell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from scoring.core.points import figure
from scoring.core.record import Record
from scoring.core.result import Result
from scoring.core.sweepstakes import FIRSTS, Kind, Row, Rule, divisions_of, placed, sweepstakes

KINDS: dict[Kind, object] = {"teams": gettext_lazy("teams"), "individuals": gettext_lazy("individuals")}


class Line(NamedTuple):
    """A row in words. `who` is the `name` with a contestant's `numbers`, of which either may be empty; `parts` are what
    each contest gave, empty where it gave nothing."""

    rank: int
    who: str
    name: str
    numbers: str
    parts: list[str]
    total: str
    tie: str


class Table(NamedTuple):
    division: str
    kind: Kind
    title: str
    lines: list[Line]


class Scored(NamedTuple):
    """A contest of the day; `shown` holds no more of names than whoever reads the tables may see, and `said` tells by
    number and name who it was said that somebody is."""

    record: Record
    result: Result
    shown: Record
    said: Mapping[tuple[int, str], str]


def tables(contests: Sequence[Scored], rule: Rule) -> list[Table]:
    """Every table that somebody is in: of each division the teams, then the contestants."""
    names = {division.code: division.name for one in reversed(contests) for division in one.record.divisions}
    titles = [one.record.rules.name for one in contests]
    by_kind = {kind: [placed(one.record, one.result, kind, one.shown, one.said) for one in contests] for kind in KINDS}
    divisions = dict.fromkeys(code for rows in by_kind.values() for code in divisions_of(rows))
    made = []
    for division in divisions:
        for kind, rows in by_kind.items():
            table = sweepstakes(rows, division, rule)
            if table:
                title = _("{division}, {kind}").format(division=names[division], kind=KINDS[kind])
                made.append(Table(division, kind, title, [_line(row, titles) for row in table]))
    return made


def _line(row: Row, titles: Sequence[str]) -> Line:
    parts = ["" if part is None else figure(part) for part in row.parts]
    return Line(row.rank, who(row), row.name, numbers_of(row), parts, figure(row.total), tie_in_words(row, titles))


def who(row: Row) -> str:
    """`Ann Lee (101, 203)`: the numbers are those of each contest; a team's name alone."""
    numbers = numbers_of(row)
    if not numbers:
        return row.name
    return f"{row.name} ({numbers})" if row.name else numbers


def numbers_of(row: Row) -> str:
    return ", ".join(dict.fromkeys(str(number) for number in row.numbers if number is not None))


def tie_in_words(row: Row, titles: Sequence[str]) -> str:
    if row.tie == FIRSTS:
        return _("by the number of firsts, {count}").format(count=row.firsts)
    if row.tie.startswith("contest:"):
        return _("by the total in {contest}").format(contest=titles[int(row.tie.partition(":")[2]) - 1])
    return _("shared") if row.tie else ""


def rule_in_words(rule: Rule, titles: Sequence[str]) -> list[str]:
    """How the tables are made, one sentence a rule."""
    told = [
        _("The totals of all contests are added up.")
        if rule.by == "total"
        else _("Each rank in a contest gives points: {points}; every rank after them none.").format(
            points=", ".join(map(str, rule.points))
        ),
        _("Whoever lacks a contest is in no table.")
        if rule.needs_all
        else _("Whoever lacks a contest has nothing from it."),
    ]
    if rule.tie_contest is not None and rule.tie_contest < len(titles):
        words = _("Equal sums are parted by the total in {contest}, then by the number of firsts; else they share.")
        told.append(words.format(contest=titles[rule.tie_contest]))
    else:
        told.append(_("Equal sums are parted by the number of firsts; else they share the rank."))
    return told
