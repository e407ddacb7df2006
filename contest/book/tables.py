"""The CSV files of a book as rows, however a spreadsheet wrote them: with commas, semicolons or tabs, quoted or not."""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Iterator
from dataclasses import dataclass

from contest.book.problems import Problems
from contest.book.text import why_not_text


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of one file, in the order they are written."""

    required: tuple[str, ...]
    optional: tuple[str, ...] = ()


class Row:
    """One row: its cells by column name, trimmed, and a place to report what is wrong with them."""

    __slots__ = ("_cells", "_problems", "decimal_comma", "file", "line")

    def __init__(self, file: str, line: int, cells: dict[str, str], decimal_comma: bool, problems: Problems) -> None:
        self.file = file
        self.line = line
        self.decimal_comma = decimal_comma
        self._cells = cells
        self._problems = problems

    def __getitem__(self, column: str) -> str:
        return self._cells.get(column, "")

    def problem(self, reason: str) -> None:
        self._problems.add(self.file, self.line, reason)


def read_rows(file: str, text: str, columns: Columns, problems: Problems) -> Iterator[Row]:
    """The rows of a CSV file; columns are found by name. What is wrong with the file's shape goes to `problems`."""
    lines = list(io.StringIO(text, newline=""))  # only line ends part lines, not every separator that Unicode knows
    first = next((line for line in lines if line.strip()), "")
    if not first:
        return
    delimiter = _delimiter(first)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    try:
        header = next(cells for row in reader if any(cells := [name.strip() for name in row]))
        header_line = reader.line_num
        while header and not header[-1]:
            header.pop()
        if not _header_is_sound(file, header_line, header, columns, problems):
            return
        for cells in reader:
            if row := _row(file, reader.line_num, header, cells, delimiter == ";", problems):
                yield row
    except csv.Error as error:
        problems.add(file, reader.line_num, f"this line is not valid CSV: {error}; check its quotation marks")


def _delimiter(header: str) -> str:
    """What parts the cells, by the header, whose names hold none of the three; ties and doubts go to the comma."""
    return max(",;\t", key=header.count)


def _header_is_sound(file: str, line: int, header: list[str], columns: Columns, problems: Problems) -> bool:
    known = columns.required + columns.optional
    sound = True
    for name in header:
        if name not in known:
            sound = False
            problems.add(file, line, _unknown_column(name, known))
    for name in sorted({name for name in header if header.count(name) > 1}):
        sound = False
        problems.add(file, line, f"column {name!r} stands twice")
    for name in columns.required:
        if name not in header:
            sound = False
            problems.add(file, line, f"column {name!r} is missing")
    return sound


def _unknown_column(name: str, known: tuple[str, ...]) -> str:
    if "," in name or ";" in name:
        return f"the whole line {name!r} is in one pair of quotation marks; write the columns apart"
    near = difflib.get_close_matches(name.lower(), known, n=1)
    meant = f"; is {near[0]!r} meant?" if near else ""
    return f"column {name!r} is unknown{meant} The columns are {', '.join(known)}"


def _row(
    file: str, line: int, header: list[str], cells: list[str], decimal_comma: bool, problems: Problems
) -> Row | None:
    cells = [cell.strip() for cell in cells]
    if not any(cells):
        return None
    if len(cells) < len(header) or any(cells[len(header) :]):
        problems.add(file, line, f"it has {len(cells)} cells and the header has {len(header)}")
        return None
    row = Row(file, line, dict(zip(header, cells, strict=False)), decimal_comma, problems)
    for name, cell in zip(header, cells, strict=False):
        if reason := why_not_text(cell):
            row.problem(f"{name} {reason}")
            return None
    return row
