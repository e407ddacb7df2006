"""Where copies lie: in a folder of one's choice while that is there, such as a memory stick's, else beside the data."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings

from contest.copies.shelf import Copy, copies_in

WITHIN_DATA = "copies"
WITHIN_CHOSEN = "tanbark-copies"


def default_shelf() -> Path:
    return Path(settings.DATA_FOLDER) / WITHIN_DATA


def chosen_shelf() -> Path | None:
    """The shelf of choice; None where none was chosen. Its own folder, so that a stick keeps its other files."""
    return settings.COPIES_FOLDER / WITHIN_CHOSEN if settings.COPIES_FOLDER else None


def shelves() -> list[Path]:
    """Every shelf, the chosen one first, whether it is there or not."""
    chosen = chosen_shelf()
    return [chosen, default_shelf()] if chosen else [default_shelf()]


def is_there(shelf: Path) -> bool:
    """Can copies be put there? The folder of choice is never made: where a stick was pulled out, its name must not
    become a folder of the laptop."""
    if shelf == default_shelf():
        return True
    try:
        return shelf.parent.is_dir()
    except OSError:
        return False


def present_shelf() -> Path:
    return next(shelf for shelf in shelves() if is_there(shelf))


def on_same_disk(shelf: Path) -> bool:
    """Whether a broken disk would take the copies with the contest."""
    folder = shelf if shelf.exists() else shelf.parent
    try:
        return folder.stat().st_dev == Path(settings.DATA_FOLDER).stat().st_dev
    except OSError:
        return False


def all_copies() -> list[Copy]:
    """Every copy of every shelf that is there, the newest first."""
    copies = [copy for shelf in shelves() for copy in copies_in(shelf)]
    return sorted(copies, key=lambda copy: copy.number, reverse=True)


def find_copy(text: str) -> Copy | None:
    """The copy of that number or name, on any shelf."""
    return next((copy for copy in all_copies() if text in (copy.name, str(copy.number))), None)
