"""Spreadsheets as text: whatever was pasted or uploaded becomes lines of cells, each known by its line in the file.

An uploaded file becomes text at once, in a process of its own (`contest.uploads`), and travels in the form from then
on: names are nobody's business on a disk.
"""

from __future__ import annotations

import csv
import io
import zipfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from defusedxml.ElementTree import iterparse  # type: ignore[import-untyped]  # it says nothing of its types

from contest.book.text import LONGEST_TEXT
from scoring.core.points import in_thousands
from scoring.core.texts import gettext as _

MOST_BYTES = 2_500_000
"""Django keeps an upload of this size in memory, and puts no larger one anywhere but in a file that it deletes."""
MOST_UNPACKED = 40_000_000
MOST_LINES = 6_000
MOST_COLUMNS = 40
MOST_TEXT = 800_000
"""Characters: as long as a form may be, however many bytes each takes."""

MOST_SHEETS = 50
MOST_MERGED = 1_000
TELL_EVERY = 200
OnProgress = Callable[[str, int], None]

DELIMITERS = "\t;,"


class Unreadable(ValueError):
    """Raised for a table that cannot be read, in words for whoever brought it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a table. `number` is the line of the file, or the row of the spreadsheet."""

    number: int
    cells: tuple[str, ...]

    def __bool__(self) -> bool:
        return any(self.cells)


def sheets_of(name: str, data: bytes, on_progress: OnProgress = lambda sheet, row: None) -> dict[str, str]:
    """The sheets of an uploaded file, as text by name; a .csv file is one sheet without a name.

    `on_progress` hears every so often which row of which sheet is read. Raises Unreadable.
    """
    if len(data) > MOST_BYTES:
        told = _("the file has {size} bytes; {most} is the most")
        raise Unreadable(told.format(size=in_thousands(len(data)), most=in_thousands(MOST_BYTES)))
    if not data.strip():
        raise Unreadable(_("the file is empty"))
    if name.lower().endswith(".xls") or data.startswith(b"\xd0\xcf\x11\xe0"):
        raise Unreadable(_("an old spreadsheet (.xls) or a locked one cannot be read; save it as .xlsx or .csv"))
    if data.startswith(b"PK"):
        return _workbook(data, on_progress)
    if b"\0" in data and not data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Unreadable(_("that is neither text nor a spreadsheet; save it as .xlsx or .csv"))
    return {"": _decoded(data)}


def lines_of(text: str) -> list[Line]:
    """The lines of a table written with tabs, semicolons or commas. Raises Unreadable."""
    if len(text) > MOST_TEXT:
        told = _("the table has {count} characters; {most} is the most")
        raise Unreadable(told.format(count=in_thousands(len(text)), most=in_thousands(MOST_TEXT)))
    rows = io.StringIO(text, newline="").readlines()  # only line ends part lines, not all that Unicode knows
    reader = csv.reader(rows, delimiter=_delimiter(rows), strict=True)
    lines: list[Line] = []
    number = 1
    try:
        for cells in reader:
            line = Line(number, _filled([" ".join(cell.split()) for cell in cells]))
            number = reader.line_num + 1  # where the next row starts: one with a line break in it ends further down
            if line:
                lines.append(line)
    except csv.Error as error:
        told = _("line {number} is not a line of a table: {error}; check its quotation marks")
        raise Unreadable(told.format(number=number, error=error)) from None
    if not lines:
        raise Unreadable(_("there is nothing in the table"))
    if len(lines) > MOST_LINES:
        told = _("the table has {count} lines; {most} is the most")
        raise Unreadable(told.format(count=in_thousands(len(lines)), most=in_thousands(MOST_LINES)))
    widest = max(len(line.cells) for line in lines)
    if widest > MOST_COLUMNS:
        told = _("the table has {count} columns; {most} is the most")
        raise Unreadable(told.format(count=widest, most=MOST_COLUMNS))
    return [Line(line.number, line.cells + ("",) * (widest - len(line.cells))) for line in lines]


def _filled(cells: list[str]) -> tuple[str, ...]:
    """The cells up to the last that holds anything: what follows are columns that a spreadsheet made of nothing."""
    filled = max((at + 1 for at, cell in enumerate(cells) if cell), default=0)
    return tuple(cells[:filled])


def _decoded(data: bytes) -> str:
    for encoding in ("utf-16",) if data.startswith((b"\xff\xfe", b"\xfe\xff")) else ("utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise Unreadable(_("the text of the file cannot be read; save it as “CSV UTF-8”"))


def _delimiter(rows: list[str]) -> str:
    """What parts the cells: what stands the same number of times in most of the first lines."""

    def evenness(delimiter: str) -> int:
        counts = Counter(row.count(delimiter) for row in rows[:40] if delimiter in row)
        return max(counts.values(), default=0)

    return max(DELIMITERS, key=evenness)


def _workbook(data: bytes, on_progress: OnProgress) -> dict[str, str]:
    from openpyxl import load_workbook  # here, as it loads slowly

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            if sum(entry.file_size for entry in archive.infolist()) > MOST_UNPACKED:
                raise Unreadable(_("the spreadsheet is too large; save the entry list alone, as .csv"))
        # A sheet is read row by row and no further than a list can be long, whatever size it says it has.
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheets = {}
        left = MOST_TEXT
        for sheet in book.worksheets[:MOST_SHEETS]:
            sheets[sheet.title] = _sheet_as_text(sheet, left, on_progress)
            left -= len(sheets[sheet.title])
    except (Unreadable, MemoryError):
        raise
    except Exception:  # a damaged file fails in as many ways as there are bytes in it
        raise Unreadable(_("the spreadsheet is damaged or of another kind; save it again as .xlsx or .csv")) from None
    sheets = {title: text for title, text in sheets.items() if text}
    if not sheets:
        raise Unreadable(_("the spreadsheet is empty"))
    return sheets


def _sheet_as_text(sheet: Any, most: int, on_progress: OnProgress) -> str:
    """One sheet with tabs between its cells; a cell merged down several rows stands in each of them.

    Raises Unreadable for more than `most` characters.
    """
    written = io.StringIO()
    writer = csv.writer(written, delimiter="\t", lineterminator="\n")
    merged = _merged_down(sheet)
    tops: dict[tuple[int, int], str] = {}
    end = 0
    rows = sheet.iter_rows(max_row=MOST_LINES + 1, max_col=MOST_COLUMNS + 1, values_only=True)
    for number, row in enumerate(rows, start=1):
        if number % TELL_EVERY == 0:
            on_progress(sheet.title, number)
        cells = [_cell(value) for value in row]
        for first, last, column in merged:
            if first == number:
                tops[first, column] = cells[column] if column < len(cells) else ""
            elif first < number <= last and column < len(cells):
                cells[column] = tops.get((first, column), "")
        writer.writerow(cells)
        if any(cells):
            end = written.tell()
            if end > most:
                raise Unreadable(_("the spreadsheet is too large; save the entry list alone, as .csv"))
    return written.getvalue()[:end]


def _merged_down(sheet: Any) -> list[tuple[int, int, int]]:
    """The cells that reach down over several rows: first row, last row, and the index of the column.

    They stand after all rows in the file, and reading row by row does not come to them.
    """
    from openpyxl.utils.cell import range_boundaries

    merged: list[tuple[int, int, int]] = []
    with sheet._get_source() as source:
        for _event, element in iterparse(source):
            if element.tag.endswith("}mergeCell"):
                left, top, _right, bottom = range_boundaries(element.get("ref"))
                if top < bottom and top <= MOST_LINES and left <= MOST_COLUMNS and len(merged) < MOST_MERGED:
                    merged.append((top, bottom, left - 1))
            element.clear()
    return merged


def _cell(value: Any) -> str:
    """A cell as people read it; a formula comes as the value that it last had."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "minutes")
    if isinstance(value, date | time):
        return value.isoformat()
    return " ".join(str(value).split())[: LONGEST_TEXT + 1]
