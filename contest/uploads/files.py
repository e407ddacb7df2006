"""Where a file that was brought lies until it is over, and what was told of it. Names of minors stand in them."""

from __future__ import annotations

import json
from datetime import timedelta
from io import BytesIO
from typing import Any

from django.conf import settings
from django.core.cache import caches
from django.utils import timezone

from contest import kept
from contest.book import Problem
from contest.changes import one_change
from contest.models import BroughtFile

FOLDER = "uploads"
PROBLEMS = ".problems"
NEW = 600.0
"""Seconds in which a file may lie there before its row does."""
KEPT = timedelta(days=1)
"""How long a file that is over is known, for whoever left its page open."""
SHOWN_FOR = 60 * 60
"""Seconds in which somebody looks at what was read."""


def file_of(row: BroughtFile) -> str:
    """The name of its file in the store. Another content under the same key has another, and spoils nothing."""
    return f"{FOLDER}/{row.key}-{row.digest[:16]}"


def problems_file_of(row: BroughtFile) -> str:
    return f"{FOLDER}/{row.key}{PROBLEMS}"


def names_of(row: BroughtFile) -> list[str]:
    return [file_of(row), problems_file_of(row)]


def keep_problems_of(row: BroughtFile, problems: list[list[Any]]) -> None:
    """Keep what is wrong with a book: each problem as file, line and reason."""
    kept.keep(problems_file_of(row), BytesIO(json.dumps(problems).encode()))


def problems_of(row: BroughtFile) -> tuple[Problem, ...]:
    """What was wrong with a book that was refused, while that is kept."""
    if row.state != BroughtFile.State.FAILED:
        return ()
    try:
        with kept.opened(problems_file_of(row)) as file:
            return tuple(Problem(*problem) for problem in json.loads(file.read()))
    except FileNotFoundError:
        return ()


def show_later(row: BroughtFile, read: Any) -> None:
    """Hold what was read for the page that shows it, at whichever process: never on a laptop's disk."""
    caches["shared"].set(_slot(row), read, SHOWN_FOR)


def to_be_shown(row: BroughtFile) -> Any:
    """What `show_later` was given; None once it is gone."""
    return caches["shared"].get(_slot(row))


def hide(row: BroughtFile) -> None:
    """Show nobody any more what was read."""
    caches["shared"].delete(_slot(row))


def forget(row: BroughtFile) -> None:
    """Let go of all that was kept of a file."""
    hide(row)
    for name in names_of(row):
        kept.drop(name)


def tidy(at_start: bool = False) -> None:
    """Let go of files that nobody waits for, as when a process was killed, and of what was over long ago.

    Files that came just now are left alone, as their row may be about to be written; at the start of a process that
    serves alone there are none.
    """
    for row in BroughtFile.every.exclude(state__in=BroughtFile.OPEN).filter(brought_at__lt=timezone.now() - KEPT):
        with one_change():
            row.delete()
        forget(row)
    wanted = {problems_file_of(row) for row in BroughtFile.every.only("key")}
    wanted |= {file_of(row) for row in BroughtFile.every.filter(state__in=BroughtFile.OPEN)}
    is_alone = at_start and not settings.SEVERAL
    for name in kept.names_in(FOLDER):
        if name not in wanted and (is_alone or kept.age_of(name) > NEW):
            kept.drop(name)
    if is_alone:  # a Tanbark that read within its own memory had a folder for each
        for folder in kept.folders_in(FOLDER):
            kept.drop_folder(folder)


def _slot(row: BroughtFile) -> str:
    return f"brought:{row.key}"
