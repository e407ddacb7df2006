"""A contest's result as plain text for a terminal: the top of every list, in widths that fit."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence

from scoring.core.explain import list_names
from scoring.core.people import shown_name
from scoring.core.points import figure
from scoring.core.record import Record
from scoring.core.result import IndividualRow, Result, TeamRow
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

TOP = 10
GAP = "  "

RANK, NUMBER, TOTAL, TIE = gettext_noop("Rank"), gettext_noop("Number"), gettext_noop("Total"), gettext_noop("Tie")
NAME, TEAM, COUNTING = gettext_noop("Name"), gettext_noop("Team"), gettext_noop("Counting")
_SHRINKABLE = (NAME, TEAM, COUNTING)
_NARROWEST = 6
_RIGHT = (RANK, NUMBER, TOTAL)


def result_text(record: Record, result: Result, width: int, top: int = TOP) -> str:
    """The first `top` rows of every list, and the cards that are not settled; no line is wider than `width` cells."""
    return "\n".join(_lines(record, result, width, top)) + "\n"


def unsettled_lines(result: Result) -> list[str]:
    """One line for each card, and each choice of keep/cull, whose two readings differ."""
    cards = [
        _("class {number}, contestant {contestant}: first reading {first}, second {second}").format(
            number=card.class_number,
            contestant=card.number,
            first=card.placing or _("no card"),
            second=card.second or _("no card"),
        )
        for card in result.unsettled
    ]
    return cards + [
        _("part {code}, contestant {contestant}: first reading {first}, second {second}").format(
            code=choice.part,
            contestant=choice.number,
            first=choice.kept or _("no card"),
            second=choice.second or _("no card"),
        )
        for choice in result.unsettled_choices
    ]


def _lines(record: Record, result: Result, width: int, top: int) -> Iterator[str]:
    rules = record.rules
    yield rules.name
    where_and_when = [part for part in (rules.place, rules.held_on and rules.held_on.isoformat()) if part]
    if where_and_when:
        yield ", ".join(where_and_when)
    divisions = record.division_names
    names = list_names(record)
    shown = {contestant.number: shown_name(contestant, rules.show_people_as) for contestant in record.contestants}
    for standing in result.standings:
        title = f"{divisions[standing.division]} - {names[standing.code]}"
        for kind, table in (
            (_("individuals"), _individuals(standing.individuals[:top], shown)),
            (_("teams"), _teams(standing.teams[:top])),
        ):
            if len(table) > 1:
                yield ""
                yield f"{title}, {kind}"
                yield from _aligned(table, width)
    if result.unsettled or result.unsettled_choices:
        yield ""
        yield _("Not settled: the two readings differ, and the first counts until somebody decides")
        yield from (f"{GAP}{line}" for line in unsettled_lines(result))


def _individuals(rows: Sequence[IndividualRow], shown: dict[int, str]) -> list[tuple[str, ...]]:
    table: list[tuple[str, ...]] = [(RANK, NUMBER, NAME, TEAM, TOTAL, TIE)]
    table += [(str(r.rank), str(r.number), shown[r.number], r.team, figure(r.total), r.tie) for r in rows]
    return _without_empty_columns(table)


def _teams(rows: Sequence[TeamRow]) -> list[tuple[str, ...]]:
    table: list[tuple[str, ...]] = [(RANK, TEAM, TOTAL, COUNTING, TIE)]
    table += [(str(r.rank), r.team, figure(r.total), " ".join(map(str, r.counting)), r.tie) for r in rows]
    return _without_empty_columns(table)


def _without_empty_columns(table: list[tuple[str, ...]]) -> list[tuple[str, ...]]:
    kept = [position for position in range(len(table[0])) if any(row[position] for row in table[1:])]
    return [tuple(row[position] for position in kept) for row in table]


def _aligned(table: list[tuple[str, ...]], width: int) -> Iterator[str]:
    header, table = table[0], [tuple(map(_, table[0])), *table[1:]]
    widths = [max(map(_cells, column)) for column in zip(*table, strict=True)]
    while sum(widths) + len(GAP) * (len(widths) - 1) > width:
        widest = max(
            (position for position, name in enumerate(header) if name in _SHRINKABLE and widths[position] > _NARROWEST),
            key=widths.__getitem__,
            default=None,
        )
        if widest is None:
            break
        widths[widest] -= 1
    for row in table:
        cells = (_padded(cell, space, name in _RIGHT) for cell, space, name in zip(row, widths, header, strict=True))
        yield GAP.join(cells).rstrip()


def _padded(text: str, width: int, right: bool) -> str:
    if _cells(text) > width:
        while text and _cells(text) > width - 1:
            text = text[:-1]
        text += "…"
    space = " " * (width - _cells(text))
    return space + text if right else text + space


def _cells(text: str) -> int:
    """How many columns of a terminal a text takes: two for a wide character, none for an accent put on another."""
    return sum(
        0 if unicodedata.combining(character) else 2 if unicodedata.east_asian_width(character) in "WF" else 1
        for character in text
    )
