"""Results as files: CSV for programs, and a workbook for people."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Any

from django.utils.text import slugify
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font

from contest.book.results import result_files
from scoring.explain import STANDARDISED, list_names
from scoring.people import shown_name
from scoring.points import printed
from scoring.record import Record
from scoring.result import Result, Standing

PUBLIC_FILES = ("individuals.csv", "teams.csv")
"""What of the four files the crowd may have: places and totals, but nobody's scores class by class."""

CSV_ZIP = "application/zip"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

LONGEST_TITLE = 31
NOT_IN_A_TITLE = re.compile(r"[\[\]:*?/\\]")
WIDTHS = {"Name": 26, "Team": 26, "Counting": 24, "Tie": 18, "Item": 18}


def file_name(record: Record, ending: str) -> str:
    """What a file of this contest is called: no name of a person is in it."""
    return f"{slugify(record.rules.name)[:60].strip('-') or 'contest'}-results.{ending}"


def csv_zip(record: Record, result: Result, public: bool = False) -> bytes:
    """The result files in a zip: all four, or those that are public. The same results give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        files = {
            name: text for name, text in result_files(record, result).items() if not public or name in PUBLIC_FILES
        }
        if record.rules.reasons_standardised:
            files["note.txt"] = f"{STANDARDISED}.\n"
        for name, text in files.items():
            info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, text.encode())
    return out.getvalue()


def workbook(record: Record, result: Result, public: bool = False) -> bytes:
    """A workbook with one sheet a list, and one of every score unless it is `public`. Scores are real numbers."""
    book = Workbook(write_only=True)
    titles = Titles()
    for standing in result.standings:
        for kind, table in (("teams", _teams(standing)), ("", _individuals(record, standing))):
            header, *rows = table
            if rows:
                title = f"{standing.division} {list_names(record)[standing.code]} {kind}".strip()
                _sheet(book, titles.of(title), header, rows)
    if not public:
        _sheet(book, titles.of("Scores"), ("Number", "Item", "Score"), _scores(result))
    if record.rules.reasons_standardised:
        _sheet(book, titles.of("Note"), (f"{STANDARDISED}.",), ())
    if not book.worksheets:
        _sheet(book, titles.of("Results"), ("Rank", "Number", "Total"), ())
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


class Titles:
    """Gives sheets titles as a workbook allows them: short, without some signs, and each only once."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def of(self, wanted: str) -> str:
        plain = NOT_IN_A_TITLE.sub(" ", ILLEGAL_CHARACTERS_RE.sub("", wanted)).strip(" '") or "List"
        title, again = plain[:LONGEST_TITLE], 1
        while title.casefold() in self._taken:
            again += 1
            end = f" {again}"
            title = plain[: LONGEST_TITLE - len(end)] + end
        self._taken.add(title.casefold())
        return title


def _individuals(record: Record, standing: Standing) -> Iterator[tuple[Any, ...]]:
    names = {c.number: shown_name(c, record.rules.show_people_as) for c in record.contestants}
    yield "Rank", "Number", "Name", "Team", "Total", "Tie"
    for row in standing.individuals:
        yield row.rank, row.number, names[row.number], row.team, row.total, row.tie


def _teams(standing: Standing) -> Iterator[tuple[Any, ...]]:
    yield "Rank", "Team", "Total", "Counting", "Tie"
    for row in standing.teams:
        yield row.rank, row.team, row.total, ", ".join(map(str, row.counting)), row.tie


def _scores(result: Result) -> Iterator[tuple[Any, ...]]:
    for scores in result.scores:
        for number, points in zip(scores.numbers, scores.points, strict=True):
            yield number, scores.item, points
    for of_teams in result.team_scores:
        for team, points in zip(of_teams.teams, of_teams.points, strict=True):
            yield team, of_teams.item, points


def _sheet(book: Workbook, title: str, header: Iterable[str], rows: Iterable[tuple[Any, ...]]) -> None:
    sheet = book.create_sheet(title)
    header = tuple(header)
    sheet.freeze_panes = "A2"
    for column, label in zip("ABCDEFG", header, strict=False):
        sheet.column_dimensions[column].width = WIDTHS.get(label, 12)
    sheet.append([_cell(sheet, label, bold=True) for label in header])
    for row in rows:
        sheet.append([_cell(sheet, value) for value in row])


def _cell(sheet: Any, value: Any, bold: bool = False) -> Any:
    if isinstance(value, Fraction):
        # As they are printed, to two decimals: a spreadsheet knows no thirds.
        text = printed(value)
        value = float(text) if "." in text else int(text)
    elif isinstance(value, str):
        value = ILLEGAL_CHARACTERS_RE.sub("", value)
    cell = WriteOnlyCell(sheet, value=value)
    if isinstance(value, str):
        cell.data_type = "s"  # a team that is called "=1+1" is no formula
    if bold:
        cell.font = Font(bold=True)
    return cell
