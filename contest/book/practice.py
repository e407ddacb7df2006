"""A practice as a contest book: what a contest has of it is there too, so a contest can be made of the same file.

Beside contest.toml it has `practice.csv`, how many minutes each class has; `notes.csv`, what decided which pair of
which class; `pictures.csv`, which animal of which class a picture shows, from where, and what it shows in words; and
the pictures in a folder `pictures`. There are no people.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePosixPath

from contest.book.files import (
    CONTEST,
    NOTES,
    PICTURES,
    PRACTICE,
    PRACTICE_FILES,
    UNREADABLE_ZIP,
    book_files,
    homes_in,
)
from contest.book.pair_notes import LONGEST_NOTE, Note
from contest.book.problems import Problems
from contest.book.read import read_book
from contest.book.tables import Columns, Row, Rows
from contest.book.text import decoded, whole_number
from contest.book.write import csv_text, put, write_book
from scoring.core.practice import MOST_CLASSES, MOST_MINUTES, VIEWS
from scoring.core.record import Division, JudgingClass, Record, Rules
from scoring.core.texts import gettext as _

FOLDER = "pictures"
MINUTES_COLUMNS = Columns(("class", "minutes"))
PICTURE_COLUMNS = Columns(("class", "animal", "view", "file", "says"))
NOTE_COLUMNS = Columns(("class", "pair"), Note._fields, prose=LONGEST_NOTE)
EVERYBODY = "ALL"
"""Code of the one division of a practice's book."""


@dataclass(frozen=True, slots=True)
class PictureRow:
    """A picture that a book names: of which class and animal, from where, its file, and what it shows in words."""

    number: int
    animal: str
    view: str
    file: str
    says: str
    line: int = 0


@dataclass(frozen=True, slots=True)
class NoteRow:
    """What decided a pair of a class: 1 is the top pair of its official placing."""

    number: int
    pair: int
    note: Note


@dataclass(frozen=True, slots=True)
class PracticeBook:
    """What a practice's book holds: the classes that are placed, the minutes of each by number, notes and pictures."""

    classes: tuple[JudgingClass, ...]
    minutes: Mapping[int, int]
    notes: tuple[NoteRow, ...]
    pictures: tuple[PictureRow, ...]


def read_practice(path: Path, name: str = "") -> PracticeBook:
    """The practice in the book at `path`, which may be any contest's, whose people and scores are passed over.

    Raises BookProblems. The pictures themselves are read one by one by `pictures_in`.
    """
    record = read_book(path, name)
    problems = Problems()
    classes = tuple(
        judged for judged in sorted(record.classes, key=lambda one: one.number) if judged.places and not judged.void
    )
    if not classes:
        problems.add(CONTEST, 0, _("it has no class that is placed, so there is nothing to practise"))
    if len(classes) > MOST_CLASSES:
        told = _("it has {count} classes that are placed, and a practice has {most} at most; leave some out")
        problems.add(CONTEST, 0, told.format(count=len(classes), most=MOST_CLASSES))
    files = book_files(path, problems, name, PRACTICE_FILES)
    texts = {file: decoded(data, file, problems) for file, data in files.items()}
    reader = _Reader({judged.number: judged for judged in classes}, problems)
    usual = min(record.rules.minutes_per_class, MOST_MINUTES)
    minutes = dict.fromkeys(reader.classes, usual) | dict(reader.minutes(texts.get(PRACTICE, "")))
    notes = tuple(reader.notes(texts.get(NOTES, "")))
    pictures = tuple(reader.pictures(texts.get(PICTURES, "")))
    problems.raise_if_any()
    return PracticeBook(classes, minutes, notes, pictures)


def pictures_in(
    path: Path, rows: Iterable[PictureRow], most: int, problems: Problems
) -> Iterator[tuple[PictureRow, bytes]]:
    """Each picture of a zipped book as it was put there, at most `most` bytes; what is wrong goes to `problems`."""
    with zipfile.ZipFile(path) as archive:
        home = homes_in(archive).pop()
        members = {PurePosixPath(info.filename): info for info in archive.infolist()}
        for row in rows:
            info = members.get(home / FOLDER / row.file)
            if info is None:
                told = _("{file} is not in the folder {folder} of the book; put it there, or take this row out")
                problems.add(PICTURES, row.line, told.format(file=row.file, folder=FOLDER))
                continue
            try:
                with archive.open(info) as member:
                    data = member.read(most + 1)  # the header's size is only a claim
            except UNREADABLE_ZIP:
                told = _("{file} is damaged in the zip; save the practice once more, or zip it again")
                problems.add(PICTURES, row.line, told.format(file=row.file))
                continue
            yield row, data


class _Reader:
    def __init__(self, classes: Mapping[int, JudgingClass], problems: Problems) -> None:
        self.classes = classes
        self._problems = problems

    def minutes(self, text: str | None) -> Iterator[tuple[int, int]]:
        for row in self._rows(PRACTICE, text, MINUTES_COLUMNS):
            judged = self._class(row)
            minutes = whole_number(row["minutes"])
            if minutes is None or not 1 <= minutes <= MOST_MINUTES:
                told = _("minutes is {value!r}; it must be a whole number from 1 to {most}")
                row.problem(told.format(value=row["minutes"], most=MOST_MINUTES))
            elif judged:
                yield judged.number, minutes

    def notes(self, text: str | None) -> Iterator[NoteRow]:
        seen = set()
        for row in self._rows(NOTES, text, NOTE_COLUMNS):
            judged, pair = self._class(row), whole_number(row["pair"])
            note = Note(*(row[part] for part in Note._fields))
            if (judged, pair) in seen:
                row.problem(_("there is a note on that pair already, further up"))
            seen.add((judged, pair))
            if judged and (pair is None or not 1 <= pair < len(judged.animals)):
                told = _("pair is {value!r}; class {number} has pairs 1 (top) to {most}")
                row.problem(told.format(value=row["pair"], number=judged.number, most=len(judged.animals) - 1))
            elif judged and pair and note:
                yield NoteRow(judged.number, pair, note)

    def pictures(self, text: str | None) -> Iterator[PictureRow]:
        seen = set()
        for row in self._rows(PICTURES, text, PICTURE_COLUMNS):
            judged = self._class(row)
            if judged and (len(row["animal"]) != 1 or row["animal"] not in judged.animals):
                told = _("animal is {value!r}; class {number} has the animals {animals}")
                animals = ", ".join(judged.animals)
                row.problem(told.format(value=row["animal"], number=judged.number, animals=animals))
            if row["view"] not in VIEWS:
                told = _("view is {value!r}; it must be one of {views}")
                row.problem(told.format(value=row["view"], views=", ".join(VIEWS)))
            if not row["says"]:
                row.problem(_("says is empty; write what the picture shows, for whoever cannot see it"))
            key = (row["class"], row["animal"], row["view"])
            if key in seen:
                row.problem(_("there is a picture of that animal from there already, further up"))
            seen.add(key)
            if judged:
                yield PictureRow(judged.number, row["animal"], row["view"], row["file"], row["says"], row.line)

    def _rows(self, file: str, text: str | None, columns: Columns) -> Rows:
        return Rows(file, text, columns, self._problems, lambda file, line, of: None)

    def _class(self, row: Row) -> JudgingClass | None:
        judged = self.classes.get(whole_number(row["class"]) or 0)
        if judged is None:
            row.problem(_("class {number!r} is none that contest.toml has placed").format(number=row["class"]))
        return judged


def write_practice(
    path: Path,
    name: str,
    made_on: date,
    classes: Iterable[JudgingClass],
    minutes: Mapping[int, int],
    notes: Iterable[NoteRow],
    pictures: Iterable[tuple[PictureRow, bytes]],
) -> None:
    """Write a practice into a zip at `path`; the same practice always gives the same bytes."""
    everybody = Division(EVERYBODY, _("Everybody"), 0)
    write_book(Record(Rules(name, made_on), (everybody,), (), tuple(classes)), path)
    with zipfile.ZipFile(path, "a") as archive:
        put(archive, PRACTICE, csv_text(MINUTES_COLUMNS.required, sorted(minutes.items())).encode())
        noted = [(one.number, one.pair, *one.note) for one in notes]
        put(archive, NOTES, csv_text((*NOTE_COLUMNS.required, *NOTE_COLUMNS.optional), noted).encode())
        rows = []
        for row, image in pictures:
            rows.append((row.number, row.animal, row.view, row.file, row.says))
            put(archive, f"{FOLDER}/{row.file}", image, zipfile.ZIP_STORED)  # a JPEG is packed already
        put(archive, PICTURES, csv_text(PICTURE_COLUMNS.required, rows).encode())
