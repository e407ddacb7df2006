"""Results as files: CSV for programs, and a workbook for people."""

from __future__ import annotations

import io
import re
import zipfile
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from contest.book.results import result_files
from contest.book.text import FORMULA, as_text
from scoring.core.explain import how_ties_fell, list_names, standardised_note
from scoring.core.people import shown_name
from scoring.core.points import written
from scoring.core.record import Division, Record
from scoring.core.result import Result, Standing
from scoring.core.sets import seen_in
from scoring.core.standardising import is_standardising

PUBLIC_FILES = ("individuals.csv", "teams.csv")
"""What of the four files the crowd may have: places and totals, but nobody's scores class by class."""

CSV_ZIP = "application/zip"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

LONGEST_TITLE = 31
NOT_IN_A_TITLE = re.compile(r"[\[\]:*?/\\]")
WIDTHS = {
    gettext_noop("Name"): 26,
    gettext_noop("Team"): 26,
    gettext_noop("Counting"): 24,
    gettext_noop("Not counting"): 24,
    gettext_noop("Tie"): 60,
}


def file_name(record: Record, ending: str) -> str:
    """What a file of this contest is called: no name of a person is in it."""
    return f"{slugify(record.rules.name)[:60].strip('-') or 'contest'}-results.{ending}"


def csv_zip(record: Record, result: Result, public: bool = False) -> bytes:
    """The result files in a zip: all four, or those that are public. The same results give the same bytes.

    They are those of a tally, but for a team whose name a spreadsheet would work out: it gets an apostrophe before it.
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        files = {
            name: text
            for name, text in result_files(*_without_formulas(record, result)).items()
            if not public or name in PUBLIC_FILES
        }
        if is_standardising(record):
            files["note.txt"] = f"{standardised_note()}.\n"
        for name, text in files.items():
            info = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, text.encode())
    return out.getvalue()


def _without_formulas(record: Record, result: Result) -> tuple[Record, Result]:
    """The same with every team's name as text; a team's name is all in the files that somebody typed freely."""
    if not any(FORMULA.match(contestant.team) for contestant in record.contestants):
        return record, result
    standings = tuple(
        replace(
            standing,
            individuals=tuple(row._replace(team=as_text(row.team)) for row in standing.individuals),
            teams=tuple(row._replace(team=as_text(row.team)) for row in standing.teams),
        )
        for standing in result.standings
    )
    team_scores = tuple(replace(of, teams=tuple(map(as_text, of.teams))) for of in result.team_scores)
    return record, replace(result, standings=standings, team_scores=team_scores)


def workbook(record: Record, result: Result, public: bool = False) -> bytes:
    """A workbook with one sheet a list, and one of every score of a division unless it is `public`.

    Scores are real numbers, as they are printed: to two decimals, for a spreadsheet knows no thirds.
    """
    book = Workbook(write_only=True)
    titles = Titles()
    for title, table in _tables(record, result, public):
        header, *rows = table
        if rows:
            _sheet(book, titles.of(title), header, rows)
    if is_standardising(record):
        _sheet(book, titles.of(_("Note")), (f"{standardised_note()}.",), ())
    if not book.worksheets:
        _sheet(book, titles.of(_("Results")), (_("Rank"), _("Number"), _("Total")), ())
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _tables(record: Record, result: Result, public: bool) -> Iterator[tuple[str, Iterable[tuple[Any, ...]]]]:
    """What stands on each sheet, its head first."""
    names = list_names(record)
    for standing in result.standings:
        title = f"{standing.division} {names[standing.code]}"
        ties, team_ties = how_ties_fell(record, result, standing)
        yield _("{list} teams").format(list=title), _teams(record, result, standing, team_ties)
        yield title, _individuals(record, standing, ties)
    for division in () if public else record.divisions:
        yield _("{division} scores").format(division=division.code), _scores(record, result, division)
        yield _("{division} team scores").format(division=division.code), _team_scores(record, result, division)


class Titles:
    """Gives sheets titles as a workbook allows them: short, without some signs, and each only once."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def of(self, wanted: str) -> str:
        plain = NOT_IN_A_TITLE.sub(" ", ILLEGAL_CHARACTERS_RE.sub("", wanted)).strip(" '") or _("List")
        title, again = plain[:LONGEST_TITLE], 1
        while title.casefold() in self._taken:
            again += 1
            end = f" {again}"
            title = plain[: LONGEST_TITLE - len(end)] + end
        self._taken.add(title.casefold())
        return title


def _individuals(record: Record, standing: Standing, ties: Sequence[str]) -> Iterator[tuple[Any, ...]]:
    names = _names(record)
    yield _("Rank"), _("Number"), _("Name"), _("Team"), _("Total"), _("Tie")
    for row, tie in zip(standing.individuals, ties, strict=True):
        yield row.rank, row.number, names[row.number], row.team, _number(row.total), tie


def _teams(record: Record, result: Result, standing: Standing, ties: Sequence[str]) -> Iterator[tuple[Any, ...]]:
    record, _result, division = seen_in(record, result, standing.division)
    members: defaultdict[str, list[int]] = defaultdict(list)
    for contestant in record.contestants:
        if contestant.present and contestant.division == division:
            members[contestant.team].append(contestant.number)
    yield _("Rank"), _("Team"), _("Total"), _("Counting"), _("Not counting"), _("Tie")
    for row, tie in zip(standing.teams, ties, strict=True):
        others = sorted(set(members[row.team]).difference(row.counting))
        yield row.rank, row.team, _number(row.total), _listed(row.counting), _listed(others), tie


def _scores(record: Record, result: Result, division: Division) -> Iterator[tuple[Any, ...]]:
    """A row for each contestant of a division, a column for each class, set of reasons and part."""
    of_division = [scores for scores in result.scores if scores.division == division.code]
    names, teams = _names(record), {contestant.number: contestant.team for contestant in record.contestants}
    yield _("Number"), _("Name"), _("Team"), *(_item(record, scores.item) for scores in of_division)
    people = of_division[0].numbers if of_division else ()
    for number, *points in zip(people, *(scores.points for scores in of_division), strict=True):
        yield number, names[number], teams[number], *map(_number, points)


def _team_scores(record: Record, result: Result, division: Division) -> Iterator[tuple[Any, ...]]:
    of_division = [scores for scores in result.team_scores if scores.division == division.code]
    yield _("Team"), *(_item(record, scores.item) for scores in of_division)
    teams = of_division[0].teams if of_division else ()
    for team, *points in zip(teams, *(scores.points for scores in of_division), strict=True):
        yield team, *map(_number, points)


def _item(record: Record, item: str) -> str:
    kind, _colon, code = item.partition(":")
    if kind == "part":
        return next(part.name for part in record.parts if part.code == code)
    return (_("Class {number}") if kind == "class" else _("Reasons {number}")).format(number=code)


def _names(record: Record) -> dict[int, str]:
    return {c.number: shown_name(c, record.rules.show_people_as) for c in record.contestants}


def _listed(numbers: Iterable[int]) -> str:
    return ", ".join(map(str, numbers))


def _number(points: Fraction) -> int | float:
    text = written(points)
    return float(text) if "." in text else int(text)


def _sheet(book: Workbook, title: str, header: Iterable[str], rows: Iterable[tuple[Any, ...]]) -> None:
    sheet = book.create_sheet(title)
    header = tuple(header)
    sheet.freeze_panes = "A2"
    widths = {_(label): width for label, width in WIDTHS.items()}
    for column, label in enumerate(header, start=1):
        sheet.column_dimensions[get_column_letter(column)].width = widths.get(label, 12)
    head = [WriteOnlyCell(sheet, value=_plain(label)) for label in header]
    for cell in head:
        cell.font, cell.data_type = Font(bold=True), "s"
    sheet.append(head)
    for row in rows:
        sheet.append([_text(sheet, value) if isinstance(value, str) else value for value in row])


def _text(sheet: Any, text: str) -> Any:
    """A cell's text; a team that is called "=1+1" is no formula."""
    plain = _plain(text)
    if not FORMULA.match(plain):
        return plain
    cell = WriteOnlyCell(sheet, value=plain)
    cell.data_type = "s"
    return cell


def _plain(text: str) -> str:
    return str(ILLEGAL_CHARACTERS_RE.sub("", text))
