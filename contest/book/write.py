"""Writing a record as a contest book, folder or zip; the same record always gives the same bytes."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import tomlkit

from contest.book.day import HOW_READ, PERSONS_DAY, SETS, UNRANKED
from contest.book.files import CARDS, CHOICES, CONTEST, ENTRIES, MARKS, PANEL, REASONS
from contest.book.outline import FORMAT
from scoring.core.placing import ANIMALS
from scoring.core.points import written_hundredths
from scoring.core.record import (
    NONE,
    Contestant,
    HowRead,
    JudgingClass,
    Mark,
    NoMark,
    Part,
    PersonsDay,
    Record,
    SetMember,
)
from scoring.core.sets import membership_written

UNUSUAL = {"reasons_standardised": False, "same_reader_twice": False, "starts_at": None, "minutes_per_class": 12}
"""Settings that are written only where they are not the usual ones."""

_ZIP_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can say: the bytes must not depend on the clock


def write_book(record: Record, path: Path | str) -> None:
    """Write the record's files into the folder `path`, or into a zip where it ends in `.zip`."""
    path = Path(path)
    files = {CONTEST: _outline(record), **_tables(record)}
    if path.suffix.lower() == ".zip":
        path.parent.mkdir(parents=True, exist_ok=True)
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, text in files.items():
                put(archive, name, text.encode())
    else:
        path.mkdir(parents=True, exist_ok=True)
        for name, text in files.items():
            (path / name).write_bytes(text.encode())


def put(archive: zipfile.ZipFile, name: str, data: bytes, how: int = zipfile.ZIP_DEFLATED) -> None:
    info = zipfile.ZipInfo(name, date_time=_ZIP_DATE)
    info.compress_type = how
    archive.writestr(info, data)


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
        **{name: value for name, usual in UNUSUAL.items() if (value := getattr(rules, name)) != usual},
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
                **({"reasons_least": division.reasons_least} if division.reasons_least else {}),
            }
            for division in record.divisions
        ],
        "category": [{"code": category.code, "name": category.name} for category in record.categories],
        "class": [_class(judged) for judged in record.classes],
        "part": [_part(part) for part in record.parts],
        "ties": {"individual": list(record.individual_ties), "team": list(record.team_ties)},
        "set": [{"code": of.code, "name": of.name} for of in record.sets],
        "decided": [{**asdict(decided), "order": list(decided.order)} for decided in record.decided],
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
    table["void"] = judged.void
    unusual = {
        "void_divisions": list(judged.void_divisions),
        "full_points": judged.full_points,
        "animals": judged.animals if judged.animals != ANIMALS else "",
    }
    return table | {name: value for name, value in unusual.items() if value}


def _part(part: Part) -> dict[str, Any]:
    table: dict[str, Any] = {"code": part.code, "name": part.name}
    if part.category:
        table["category"] = part.category
    table |= {"divisions": list(part.divisions)}
    if not part.animals:
        return table | {"most": part.most, "scope": part.scope}
    table |= {"scope": part.scope, "animals": part.animals, "keep": part.keep}
    return table | ({"values": list(part.values)} if part.values is not None else {})


def entries_text(record: Record) -> str:
    """What entries.csv says of a record's contestants."""
    days = {person.number: person for person in record.day.people}
    sets: dict[int, list[SetMember]] = {}
    for member in record.members:
        sets.setdefault(member.number, []).append(member)
    return _table(
        ("number", "division", "team", "first_name", "last_name", "role", "group", "show_name", "present"),
        (*PERSONS_DAY, UNRANKED, SETS),
        (
            (*_entry(contestant, days.get(contestant.number)), membership_written(sets.get(contestant.number, ())))
            for contestant in record.contestants
        ),
    )


def _tables(record: Record) -> dict[str, str]:
    cards = {read[:-1]: read.how for read in record.day.cards}
    reasons = {read[:-1]: read.how for read in record.day.reasons}
    marks = {read[:-1]: read.how for read in record.day.marks}
    choices = {read[:-1]: read.how for read in record.day.choices}
    tables = {
        ENTRIES: entries_text(record),
        CARDS: _table(
            ("class", "number", "placing", "second"),
            ("by", "second_by", "decided"),
            (
                (*card[:3], how.second or card.second or "", how.by, how.second_by, how.decided)
                for card in record.cards
                for how in (cards.get(card[:2], HowRead()),)
            ),
        ),
        REASONS: _table(
            ("class", "number", "official", "score"),
            HOW_READ,
            (
                (*score[:3], points, *reasons.get(score[:3], HowRead()))
                for score, points in _with_points(record.reasons, record.no_reasons)
            ),
        ),
        MARKS: _table(
            ("part", "number", "team", "division", "points"),
            HOW_READ,
            (
                (mark.part, mark.number or "", mark.team, mark.division, points, *marks.get(_key(mark), HowRead()))
                for mark, points in _with_points(record.marks, record.no_marks)
            ),
        ),
    }
    if record.choices:
        tables[CHOICES] = _table(
            ("part", "number", "kept", "second"),
            ("by", "second_by", "decided"),
            (
                (*choice[:3], how.second or choice.second or "", how.by, how.second_by, how.decided)
                for choice in record.choices
                for how in (choices.get(choice[:2], HowRead()),)
            ),
        )
    if record.panel:
        rows = ((*key[:3], " ".join(map(str, key.cuts))) for key in record.panel)
        tables[PANEL] = csv_text(("class", "official", "placing", "cuts"), rows)
    return tables


def _table(columns: tuple[str, ...], may: tuple[str, ...], rows: Iterable[tuple[Any, ...]]) -> str:
    """Without those of the last columns, which `may` be there, that hold nothing in any row."""
    rows = list(rows)
    places = [place for place in range(len(columns), len(columns) + len(may)) if any(row[place] for row in rows)]
    header = (*columns, *(may[place - len(columns)] for place in places))
    return csv_text(header, ((*row[: len(columns)], *(row[place] for place in places)) for row in rows))


def _entry(contestant: Contestant, day: PersonsDay | None) -> tuple[Any, ...]:
    present = day.was_there if day and day.ineligible else contestant.present
    return (
        *(contestant.number, contestant.division, contestant.team, contestant.first_name, contestant.last_name),
        *(contestant.role, contestant.group, yes_no(contestant.show_name), yes_no(present)),
        *((day.arrived, day.say_name, day.ineligible) if day else ("", "", "")),
        "" if contestant.ranked else "no",
    )


def _with_points(scores: Iterable[Any], none: Iterable[Any]) -> Iterable[tuple[Any, str]]:
    """Scores or marks, each with its points as a book writes them, then those of which there are none."""
    yield from ((score, written_hundredths(score.hundredths)) for score in scores)
    yield from ((nothing, NONE) for nothing in none)


def _key(mark: Mark | NoMark) -> tuple[Any, ...]:
    return mark.part, mark.number, mark.division, mark.team


def yes_no(flag: bool) -> str:
    return "yes" if flag else "no"
