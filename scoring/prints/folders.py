"""Where files of the print shop lie: within the data folder, for nobody else's eyes."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from django.utils.translation import gettext as _


def private(folder: Path, name: str) -> Path:
    """The folder of that name within the data folder, both made if they are missing."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    within = folder / name
    within.mkdir(mode=0o700, exist_ok=True)
    return within


def drop(path: Path) -> None:
    """Remove a file. Windows keeps one that somebody is fetching, and it goes with the next that nobody needs."""
    with suppress(PermissionError):
        path.unlink(missing_ok=True)


def not_written(error: OSError) -> str:
    """Why there is no file, and what would help."""
    words = _("The data folder cannot be written to: {error}. Mend that, then print it again.")
    return words.format(error=error.strerror or error)
