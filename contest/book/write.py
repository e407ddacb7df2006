"""Writing a record as a contest book, folder or zip; the same record always gives the same bytes."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any

import tomlkit

from contest.book.files import CARDS, CONTEST, ENTRIES, MARKS, REASONS
from contest.book.outline import FORMAT
from scoring.core.points import printed
from scoring.core.record import HUNDREDTHS, JudgingClass, Part, Record

_ZIP_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can say: the bytes must not depend on the clock


def write_book(record: Record, path: Path | str) -> None:
    """Write the record's five files into the folder `path`, or into a zip where it ends in `.zip`."""
    path = Path(path)
    files = {CONTEST: _outline(record), **_tables(record)}
    if path.suffix.lower() == ".zip":
        path.parent.mkdir(parents=True, exist_ok=True)
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, text in files.items():
                info = zipfile.ZipInfo(name, date_time=_ZIP_DATE)
                info.compress_type = zipfile.ZIP_DEFLATED
                archive.writestr(info, text.encode())
    else:
        path.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            (path / name).write_bytes(text.encode())


def csv_text(header: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    """CSV as the format writes it: commas, quotes only where needed, lines ended by a single newline."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()


def _outline(record: Record) -> str:
    rules = record.rules
    contest = {
        "name": rules.name,
        "held_on": rules.held_on,
        "place": rules.place,
        "readings_per_card": rules.readings_per_card,
        "show_people_as": rules.show_people_as,
        "negative_scores": rules.negative_scores,
        "unreadable_card": rules.unreadable_card,
        "reasons_in_category": rules.reasons_in_category,
    }
    tables: dict[str, Any] = {
        "format": FORMAT,
        "contest": {key: value for key, value in contest.items() if value is not None},
        "division": [
            {
                "code": division.code,
                "name": division.name,
                "team_counting": division.team_counting,
                "short_team": division.short_team,
                "counting_members": division.counting_members,
            }
            for division in record.divisions
        ],
        "category": [{"code": category.code, "name": category.name} for category in record.categories],
        "class": [_class(judged) for judged in record.classes],
        "part": [_part(part) for part in record.parts],
        "ties": {"individual": list(record.individual_ties), "team": list(record.team_ties)},
    }
    return tomlkit.dumps({key: value for key, value in tables.items() if value != []})


def _class(judged: JudgingClass) -> dict[str, Any]:
    table: dict[str, Any] = {"number": judged.number, "name": judged.name}
    if judged.category:
        table["category"] = judged.category
    table |= {
        "divisions": list(judged.divisions),
        "places": judged.places,
        "reasons": list(judged.reasons),
        "perfect": judged.perfect,
    }
    if judged.official is not None and judged.cuts is not None:
        table |= {"official": judged.official, "cuts": list(judged.cuts)}
    return table | {"void": judged.void}


def _part(part: Part) -> dict[str, Any]:
    table: dict[str, Any] = {"code": part.code, "name": part.name}
    if part.category:
        table["category"] = part.category
    return table | {"divisions": list(part.divisions), "most": part.most, "scope": part.scope}


def _tables(record: Record) -> dict[str, str]:
    return {
        ENTRIES: csv_text(
            ("number", "division", "team", "first_name", "last_name", "role", "group", "show_name", "present"),
            (
                (
                    c.number,
                    c.division,
                    c.team,
                    c.first_name,
                    c.last_name,
                    c.role,
                    c.group,
                    _yes_no(c.show_name),
                    _yes_no(c.present),
                )
                for c in record.contestants
            ),
        ),
        CARDS: csv_text(
            ("class", "number", "placing", "second"),
            ((card.class_number, card.number, card.placing, card.second or "") for card in record.cards),
        ),
        REASONS: csv_text(
            ("class", "number", "official", "score"),
            ((r.class_number, r.number, r.official, _points(r.hundredths)) for r in record.reasons),
        ),
        MARKS: csv_text(
            ("part", "number", "team", "division", "points"),
            ((m.part, m.number or "", m.team, m.division, _points(m.hundredths)) for m in record.marks),
        ),
    }


def _points(hundredths: int) -> str:
    return printed(Fraction(hundredths, HUNDREDTHS))


def _yes_no(flag: bool) -> str:
    return "yes" if flag else "no"
