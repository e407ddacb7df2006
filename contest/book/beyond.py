"""What a book can say, and a tally score, that no contest in the database can hold."""

from __future__ import annotations

from collections.abc import Iterator

from contest.book.files import CONTEST, PANEL
from contest.book.problems import BookProblems, Problem
from scoring.core.record import Record
from scoring.core.texts import gettext as _


def refuse_beyond(record: Record) -> None:
    """Raises BookProblems for what would be lost if the contest were taken into the database."""
    if reasons := [*_beyond(record)]:
        only = _("`manage.py tally` scores this book, and `manage.py study` looks back on it")
        raise BookProblems(tuple(Problem(file, 0, reason) for file, reason in [*reasons, (CONTEST, only)]))


def _beyond(record: Record) -> Iterator[tuple[str, str]]:
    if record.panel:
        yield PANEL, _("what each official of a committee handed in cannot be kept here")
