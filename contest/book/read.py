"""Reading a contest book: every file, every row, and every problem that can be found in one go."""

from __future__ import annotations

from pathlib import Path

from contest.book.files import CARDS, CHOICES, CONTEST, ENTRIES, MARKS, PANEL, REASONS, book_files
from contest.book.outline import read_outline
from contest.book.problems import Problems
from contest.book.rows import BookRows
from contest.book.tables import OnProgress
from contest.book.text import decoded
from scoring.core.record import Record


def read_book(path: Path | str, name: str = "", on_progress: OnProgress = lambda file, line, of: None) -> Record:
    """The record of the book at `path`, a folder or a zip, which problems call by `name`, or else by its own.

    `on_progress` hears every so often which line of which file is read, and how many lines that file has.
    Raises BookProblems, which holds every problem that could be found.
    """
    problems = Problems()
    files = book_files(Path(path), problems, name)
    texts = {name: decoded(data, name, problems) for name, data in files.items()}
    outline = read_outline(text, problems) if (text := texts.get(CONTEST)) is not None else None
    if outline is None:
        # Without the classes and divisions nothing can be said about the rows.
        problems.raise_if_any()
        raise AssertionError("a book without an outline has a problem")
    rows = BookRows(outline, problems, on_progress)
    contestants = rows.contestants(texts.get(ENTRIES, ""))
    cards = rows.cards(texts.get(CARDS, ""))
    reasons = rows.reasons(texts.get(REASONS, ""))
    marks = rows.marks(texts.get(MARKS, ""))
    choices = rows.choices(texts.get(CHOICES, ""))
    panel = rows.panel(texts.get(PANEL, ""))
    problems.raise_if_any()
    return Record(
        outline.rules,
        outline.divisions,
        outline.categories,
        outline.classes,
        outline.parts,
        outline.individual_ties,
        outline.team_ties,
        contestants,
        cards,
        reasons,
        marks,
        rows.no_reasons,
        rows.no_marks,
        rows.day,
        outline.decided,
        choices,
        panel,
        outline.sets,
        rows.members,
    )
