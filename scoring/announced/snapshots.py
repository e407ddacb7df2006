"""A record of a contest as the bytes of its book, for keeping beside what was said of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from django.utils.translation import gettext as _

from contest.book import BookProblems, read_book, write_book
from contest.changes.exceptions import NotPossible
from contest.records.day import without_marks_of_nobody
from scoring.core.record import Record

NAME = "book.zip"


def snapshot(record: Record) -> bytes:
    """The record as a zipped book. Raises NotPossible where it would not read back as what it is.

    Whether reasons count standardised is kept beside it.
    """
    sound = _standardised(without_marks_of_nobody(record), False)
    with TemporaryDirectory() as folder:
        path = Path(folder, NAME)
        write_book(sound, path)
        try:
            again = read_book(path)
        except BookProblems as problems:
            raise NotPossible(
                _("the contest does not make a sound book: {problems}").format(problems=problems)
            ) from None
        if again != sound:
            raise NotPossible(_("the contest does not come back from its book as it went in"))
        return path.read_bytes()


def record_from_book(book: bytes, reasons_standardised: bool = False) -> Record:
    """The record that `snapshot` was made of, whose reasons counted standardised or as they were given."""
    with TemporaryDirectory() as folder:
        path = Path(folder, NAME)
        path.write_bytes(book)
        return _standardised(read_book(path), reasons_standardised)


def _standardised(record: Record, whether: bool) -> Record:
    return replace(record, rules=replace(record.rules, reasons_standardised=whether))
