"""An entry list on its way from the form to the plan: the text travels in the page, never on a disk."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from contest.book.entry_columns import CAME_FROM, DIVISION, FIELDS, NUMBER
from contest.book.text import LARGEST_NUMBER
from contest.book.write import csv_text
from contest.entries.matching import Guess, division_of, guess
from contest.entries.new_teams import MOST_ASKED
from contest.entries.plan import Layout
from contest.uploads.spreadsheets import Line, Unreadable, lines_of
from contest.web.json_text import parsed
from scoring.core.texts import gettext as _

MOST_CELLS = 30
"""Different things in the division column that can be told apart by hand; more, and it is another column."""


@dataclass(frozen=True, slots=True)
class Source:
    """What was brought: where from, and its sheets as text by name. A pasted table is one sheet without a name."""

    name: str
    sheets: Mapping[str, str]

    @classmethod
    def pasted(cls, text: str) -> Source:
        return cls("", {"": text})

    @classmethod
    def travelled(cls, text: str) -> Source:
        """The source as the page sent it back. Raises ValueError where it is none."""
        held = parsed(text)
        name, sheets = held["name"], held["sheets"]
        if not isinstance(name, str) or not sheets or not all(isinstance(sheet, str) for sheet in sheets.values()):
            raise ValueError("that is no entry list")
        return cls(name, sheets)

    def travelling(self) -> str:
        return json.dumps({"name": self.name, "sheets": dict(self.sheets)}, ensure_ascii=False)


@dataclass(frozen=True, slots=True)
class Chosen:
    """A sheet of a source and how it is understood: as guessed, or as somebody corrected it."""

    source: Source
    sheet: str
    lines: Sequence[Line]
    layout: Layout

    @property
    def division_cells(self) -> list[str]:
        """The different things in the division column, in their order."""
        if DIVISION not in self.layout.columns:
            return []
        at = self.layout.columns.index(DIVISION)
        start = 0 if self.layout.headings is None else self.layout.headings + 1
        cells = dict.fromkeys(line.cells[at] for line in self.lines[start:] if line.cells[at])
        return list(cells) if len(cells) <= MOST_CELLS else []


def together(lists: Mapping[str, str]) -> str:
    """Several lists as one table, each row with where it came from: as its list says, else the name of its list.

    Raises Unreadable, also for a list without headings that are known.
    """
    rows: list[dict[str, str]] = []
    for place, text in lists.items():
        lines = lines_of(text)
        guessed = guess([line.cells for line in lines])
        if guessed.headings is None:
            raise Unreadable(_("{file}: no line of headings is known; name its columns").format(file=place))
        for line in lines[guessed.headings + 1 :]:
            row = {name: cell for name, cell in zip(guessed.columns, line.cells, strict=False) if name and cell}
            rows.append({CAME_FROM: place} | row)
    used = [name for name in FIELDS if any(name in row for row in rows)]
    return csv_text([FIELDS[name] for name in used], ([row.get(name, "") for name in used] for row in rows))


def _guessed(lines: Sequence[Sequence[str]]) -> Guess:
    """What the columns are; a list that says where people came from has numbers of there, which are given anew."""
    guessed = guess(lines)
    if CAME_FROM not in guessed.columns:
        return guessed
    return Guess(guessed.headings, tuple("" if name == NUMBER else name for name in guessed.columns))


def first_choice(
    source: Source, divisions: Sequence[tuple[str, str]], sheet: str | None = None, numbers_from: int | None = None
) -> Chosen:
    """The guess: the first sheet, or the one asked for. Numbers are given from `numbers_from` on to a list that says
    where people came from. Raises Unreadable."""
    title = sheet if sheet is not None and sheet in source.sheets else next(iter(source.sheets))
    lines = lines_of(source.sheets[title])
    guessed = _guessed([line.cells for line in lines])
    only = divisions[0][0] if len(divisions) == 1 else ""
    anew = numbers_from if CAME_FROM in guessed.columns else None
    layout = Layout(guessed.headings, guessed.columns, division=only, numbers_from=anew)
    return Chosen(source, title, lines, layout)


def corrected(source: Source, posted: Mapping[str, str], divisions: Sequence[tuple[str, str]]) -> Chosen:
    """The choice that the page was sent with. Another sheet, or another line of headings, is guessed anew.

    Raises Unreadable.
    """
    guessed = first_choice(source, divisions, posted.get("sheet"))
    if guessed.sheet != posted.get("shown-sheet"):
        return guessed
    headings = _headings(posted.get("headings", ""), guessed.lines)
    width = len(guessed.lines[0].cells)
    if posted.get("headings") != posted.get("shown-headings") and headings is not None:
        columns = _guessed([line.cells for line in guessed.lines[headings:]]).columns
    else:
        chosen = [posted.get(f"column-{at}", "") for at in range(width)]
        # The first column that claims a field has it: two of them cannot be the same thing.
        columns = tuple(name if name in FIELDS and name not in chosen[:at] else "" for at, name in enumerate(chosen))
    codes = {code for code, _name in divisions}
    means = {
        posted.get(f"cell-{at}", ""): posted.get(f"means-{at}", "")
        for at in range(MOST_CELLS)
        if posted.get(f"means-{at}", "") in codes
    }
    division = posted.get("division", "")
    start = posted.get("numbers-from", "").strip()
    numbers_from = int(start) if posted.get("give") and start.isascii() and start.isdecimal() else None
    if numbers_from is not None and not 0 < numbers_from <= LARGEST_NUMBER:
        numbers_from = None
    layout = Layout(headings, columns, means, division if division in codes else "", numbers_from, _teams(posted))
    return Chosen(source, guessed.sheet, guessed.lines, layout)


def _teams(posted: Mapping[str, str]) -> dict[tuple[str, str], str]:
    """What was answered about names of teams that are nearly another's, by division and name."""
    answers = {}
    for at in range(MOST_ASKED):
        division, name, is_another = (posted.get(f"{what}-{at}", "") for what in ("team-in", "team-name", "team-is"))
        if is_another:
            answers[division, name] = is_another
    return answers


def meant(chosen: Chosen, divisions: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """What each cell of the division column is taken for: (cell, code), the code empty where nothing fits."""
    return [
        (cell, chosen.layout.divisions.get(cell, "") or division_of(cell, divisions)) for cell in chosen.division_cells
    ]


def _headings(text: str, lines: Sequence[Line]) -> int | None:
    return int(text) if text.isascii() and text.isdecimal() and int(text) < len(lines) else None
