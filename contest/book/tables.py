"""The CSV files of a book as rows, however a spreadsheet wrote them: with commas, semicolons or tabs, quoted or not."""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from contest.book.problems import Problems
from contest.book.text import why_not_text
from scoring.core.texts import gettext as _

OnProgress = Callable[[str, int, int], None]
"""Told a file, a line of it, and how many lines it has."""
TELL_EVERY = 500


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of one file, in the order they are written. Where the optional ones hold prose, of several lines,
    `prose` is how many characters each may have."""

    required: tuple[str, ...]
    optional: tuple[str, ...] = ()
    prose: int = 0


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


class Rows:
    """The rows of a CSV file; columns are found by name. What is wrong with the file goes to `problems`.

    `whole` turns False when a row was lost on the way, so that nobody is told that what it held is missing.
    """

    def __init__(
        self, file: str, text: str | None, columns: Columns, problems: Problems, on_progress: OnProgress
    ) -> None:
        self._file = file
        self._on_progress = on_progress
        self._text = text or ""
        self._columns = columns
        self._problems = problems
        self.whole = text is not None

    def __iter__(self) -> Iterator[Row]:
        lines = list(io.StringIO(self._text, newline=""))  # only line ends part lines, not all that Unicode knows
        first = next((line for line in lines if line.strip()), "")
        delimiter = _delimiter(first)
        header: list[str] = []
        reader = csv.reader(lines, delimiter=delimiter, strict=True)
        while True:
            line = reader.line_num + 1  # where a row starts: one with a line break in it ends further down
            try:
                cells = [cell.strip() for cell in next(reader)]
            except StopIteration:
                return
            except csv.Error as error:
                told = _("this line is not valid CSV: {error}; check its quotation marks")
                self._lose(line, told.format(error=error))
                return
            if line % TELL_EVERY == 0:
                self._on_progress(self._file, line, len(lines))
            if not any(cells):
                continue
            if header:
                yield from self._row(line, header, cells, delimiter == ";")
                continue
            header = cells
            while not header[-1]:
                header.pop()
            if not self._header_is_sound(line, header):
                return

    def _header_is_sound(self, line: int, header: list[str]) -> bool:
        known = self._columns.required + self._columns.optional
        reasons = [_unknown_column(name, known) for name in header if name not in known]
        reasons += [
            _("column {name!r} stands twice").format(name=name)
            for name in sorted(set(header))
            if header.count(name) > 1
        ]
        missing = [name for name in self._columns.required if name not in header]
        reasons += [_("column {name!r} is missing").format(name=name) for name in missing]
        for reason in reasons:
            self._lose(line, reason)
        return not reasons

    def _row(self, line: int, header: list[str], cells: list[str], decimal_comma: bool) -> Iterator[Row]:
        if len(cells) < len(header) or any(cells[len(header) :]):
            told = _("it has {count} cells and the header has {columns}")
            self._lose(line, told.format(count=len(cells), columns=len(header)))
            return
        row = Row(self._file, line, dict(zip(header, cells, strict=False)), decimal_comma, self._problems)
        prose = self._columns.prose
        for name, cell in zip(header, cells, strict=False):
            is_prose = prose and name in self._columns.optional
            if reason := why_not_text(cell, name, prose, "\r\n\t") if is_prose else why_not_text(cell, name):
                row.problem(reason)
        yield row

    def _lose(self, line: int, reason: str) -> None:
        self.whole = False
        self._problems.add(self._file, line, reason)


def _delimiter(header: str) -> str:
    """What parts the cells, by the header, whose names hold none of the three; ties and doubts go to the comma."""
    return max(",;\t", key=header.count)


def _unknown_column(name: str, known: tuple[str, ...]) -> str:
    if "," in name or ";" in name:
        told = _("the whole line {name!r} is in one pair of quotation marks; write the columns apart")
        return told.format(name=name)
    columns = ", ".join(known)
    if near := difflib.get_close_matches(name.lower(), known, n=1):
        told = _("column {name!r} is unknown; is {near!r} meant? The columns are {columns}")
        return told.format(name=name, near=near[0], columns=columns)
    return _("column {name!r} is unknown. The columns are {columns}").format(name=name, columns=columns)
