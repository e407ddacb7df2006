"""What people bring, and how each kind of it is read: in the child, within the limits named here.

A reader yields what JSON can hold, a line of the result each; `on_progress` hears how far it is. What cannot be used is
`Refused`, in words for whoever brought it.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from contest.background import Limits
from scoring.core.explain import as_sentence
from scoring.core.points import in_thousands
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop

MEGABYTE = 1_000_000
OnProgress = Callable[[str], None]


class Refused(Exception):
    """Raised for a file that cannot be used; `problems` are of a book, each (file, line, reason)."""

    def __init__(self, text: str, problems: tuple[tuple[str, int, str], ...] = ()) -> None:
        super().__init__(text)
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Reader:
    """`mend` says what to do about a file that reached a limit, before it is translated."""

    read: Callable[[Path, str, OnProgress], Iterator[Any]]
    limits: Limits
    mend: str


def book(path: Path, name: str, on_progress: OnProgress) -> Iterator[Any]:
    from contest.book import BookProblems, read_book
    from contest.book.plain import plain_lines

    def row(file: str, line: int, of: int) -> None:
        told = _("reading {file}, row {row} of {rows}")
        on_progress(told.format(file=file, row=in_thousands(line), rows=in_thousands(of)))

    try:
        record = read_book(path, name, row)
    except BookProblems as book_problems:
        problems = tuple((problem.file, problem.line, problem.reason) for problem in book_problems.problems)
        raise Refused(_("Nothing was saved: the book has problems."), problems) from None
    yield from plain_lines(record)


def entry_list(path: Path, name: str, on_progress: OnProgress) -> Iterator[Any]:
    from contest.uploads.spreadsheets import MOST_LINES

    def row(sheet: str, line: int) -> None:
        told = _("reading {sheet}, row {row} of at most {most}")
        on_progress(told.format(sheet=sheet, row=in_thousands(line), most=in_thousands(MOST_LINES)))

    yield from sheets_in(name, path.read_bytes(), row).items()


def sheets_in(name: str, data: bytes, on_row: Callable[[str, int], None] = lambda sheet, line: None) -> dict[str, str]:
    from contest.uploads.spreadsheets import Unreadable, sheets_of

    try:
        return sheets_of(name, data, on_row)
    except Unreadable as reason:
        raise Refused(as_sentence(reason)) from None


def entry_lists(path: Path, name: str, on_progress: OnProgress) -> Iterator[Any]:
    """Several lists, zipped by whoever took them in: the first sheet of each, by the file's name without its ending."""
    with ZipFile(path) as archive:
        for file in archive.namelist():
            on_progress(_("reading {file}").format(file=file))
            try:
                yield [Path(file).stem, next(iter(sheets_in(file, archive.read(file)).values()))]
            except Refused as reason:
                raise Refused(f"{file}: {reason}") from None


def picture(path: Path, name: str, on_progress: OnProgress) -> Iterator[Any]:
    from contest.uploads.pictures import NotAPicture, checked, draw

    try:
        ending, clean = checked(path.read_bytes())
        if ending == ".svg":
            on_progress(_("drawing it once, to see that it can be drawn"))
            draw(clean)
    except NotAPicture as reason:
        raise Refused(as_sentence(reason)) from None
    yield [ending, b64encode(clean).decode()]


def photograph(path: Path, name: str, on_progress: OnProgress) -> Iterator[Any]:
    from contest.uploads.pictures import PHOTOGRAPH_SIDE, NotAPicture
    from contest.uploads.pictures import photograph as written_anew

    try:
        yield b64encode(written_anew(path.read_bytes(), PHOTOGRAPH_SIDE)).decode()
    except NotAPicture as reason:
        raise Refused(as_sentence(reason)) from None


def practice(path: Path, name: str, on_progress: OnProgress) -> Iterator[Any]:
    """The classes of a practice's book, each what a row of it holds; its notes; its pictures, each written anew."""
    from contest.book import BookProblems
    from contest.book.files import PICTURES
    from contest.book.practice import pictures_in, read_practice
    from contest.book.problems import Problems
    from contest.uploads.pictures import MOST_OF_PHOTOGRAPH, PHOTOGRAPH_SIDE, NotAPicture
    from contest.uploads.pictures import photograph as written_anew

    problems = Problems()
    try:
        book = read_practice(path, name)
        for judged in book.classes:
            key = {"official": judged.official or "", "cuts": judged.cuts or ()}
            own = {"name": judged.name, "animals": judged.animals, "perfect": judged.perfect}
            yield {"number": judged.number, "minutes": book.minutes[judged.number], **own, **key}
        for note in book.notes:
            yield {"of": note.number, "pair": note.pair, **note.note._asdict()}
        told = _("reading {file}, row {row} of {rows}")
        for row, data in pictures_in(path, book.pictures, MOST_OF_PHOTOGRAPH, problems):
            on_progress(told.format(file=PICTURES, row=row.line, rows=len(book.pictures) + 1))
            try:
                image = b64encode(written_anew(data, PHOTOGRAPH_SIDE)).decode()
            except NotAPicture as reason:
                problems.add(PICTURES, row.line, f"{row.file}: {reason}")
                continue
            yield {"of": row.number, "animal": row.animal, "view": row.view, "says": row.says, "image": image}
        problems.raise_if_any()
    except BookProblems as found:
        rows = tuple((problem.file, problem.line, problem.reason) for problem in found.problems)
        raise Refused(_("Nothing was saved: the book has problems."), rows) from None


READERS = {
    "book": Reader(
        book,
        Limits(seconds=20, memory=1500 * MEGABYTE, written=100 * MEGABYTE),
        gettext_noop(
            "Leave out of it what is no part of the contest, or zip it again from the files as they were saved."
        ),
    ),
    "list": Reader(
        entry_list,
        Limits(seconds=10, memory=700 * MEGABYTE, written=10 * MEGABYTE),
        gettext_noop("Save the entry list alone as .csv, or in two files."),
    ),
    "lists": Reader(
        entry_lists,
        Limits(seconds=20, memory=700 * MEGABYTE, written=10 * MEGABYTE),
        gettext_noop("Bring fewer entry lists at once, or save each alone as .csv."),
    ),
    "picture": Reader(
        picture,
        Limits(seconds=10, memory=1000 * MEGABYTE, written=40 * MEGABYTE),
        gettext_noop("Save it smaller or simpler, or a drawing as PNG."),
    ),
    "photograph": Reader(
        photograph,
        Limits(seconds=10, memory=1000 * MEGABYTE, written=5 * MEGABYTE),
        gettext_noop("Take or save it smaller."),
    ),
    "practice": Reader(
        practice,
        Limits(seconds=60, memory=1500 * MEGABYTE, written=30 * MEGABYTE),
        gettext_noop("Open it with fewer or smaller pictures."),
    ),
}
