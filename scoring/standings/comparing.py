"""Two contestants beside each other, item by item: for the coach who asks why one is ahead."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from scoring.core.texts import gettext as _
from scoring.standings.sheet_lines import ContestantSheet, RankLine


class Side(NamedTuple):
    """What one of them has in an item: the card, or what was given, in words; what was lost; and the score."""

    said: str = ""
    lost: tuple[str, ...] = ()
    score: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One item with both sides; `official` is the class's placing. A side is empty where a division does not do it."""

    name: str
    official: str
    one: Side
    other: Side


@dataclass(frozen=True, slots=True)
class Pair:
    one: ContestantSheet
    other: ContestantSheet
    rows: tuple[Row, ...]
    ranks: tuple[Row, ...]


def beside(one: ContestantSheet, other: ContestantSheet) -> Pair:
    """Two sheets beside each other: all that either of them was scored in, in the contest's order."""
    rows = (*_classes(one, other), *_reasons(one, other), *_marks(one, other))
    return Pair(one, other, rows, tuple(_ranks(one, other)))


def _classes(one: ContestantSheet, other: ContestantSheet) -> Iterator[Row]:
    sides = [{line.number: line for line in sheet.classes} for sheet in (one, other)]
    for number in sorted({*sides[0], *sides[1]}):
        lines = [side.get(number) for side in sides]
        known = lines[0] or lines[1]
        assert known is not None
        mine, theirs = (Side(line.card, line.lost, line.score or line.state) if line else Side() for line in lines)
        name = _("Class {number}, {name}").format(number=number, name=known.name)
        yield Row(name, known.official, mine, theirs)


def _reasons(one: ContestantSheet, other: ContestantSheet) -> Iterator[Row]:
    sides = [{line.number: line for line in sheet.reasons} for sheet in (one, other)]
    for number in sorted({*sides[0], *sides[1]}):
        lines = [side.get(number) for side in sides]
        mine, theirs = (
            Side(", ".join(f"{name} {points}" for name, points, *_counts in line.given), (), line.score or line.state)
            if line
            else Side()
            for line in lines
        )
        yield Row(_("Reasons on class {number}").format(number=number), "", mine, theirs)


def _marks(one: ContestantSheet, other: ContestantSheet) -> Iterator[Row]:
    sides = [{line.code: line for line in sheet.marks} for sheet in (one, other)]
    for code in dict.fromkeys([*sides[0], *sides[1]]):
        lines = [side.get(code) for side in sides]
        known = lines[0] or lines[1]
        assert known is not None
        mine, theirs = (Side("", (), line.score) if line else Side() for line in lines)
        yield Row(known.name, "", mine, theirs)


def _ranks(one: ContestantSheet, other: ContestantSheet) -> Iterator[Row]:
    """Each list that both are in, with place, total and how a tie fell."""
    if one.division != other.division:
        return
    theirs = {(line.division, line.code): line for line in other.ranks}
    for line in one.ranks:
        if (line.division, line.code) in theirs:
            sides = [_place(rank) for rank in (line, theirs[line.division, line.code])]
            yield Row(line.name, "", *sides)


def _place(line: RankLine) -> Side:
    place = _("{rank} of {all}").format(rank=line.rank, all=line.of) if line.rank else _("not ranked")
    return Side(place, (line.tie,) if line.tie else (), line.total)
