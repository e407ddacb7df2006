"""The contest's own picture or seal for its award sheets: a file in the data folder."""

from __future__ import annotations

import hashlib
from pathlib import Path

from scoring.prints.folders import private

TYPES = {".png": "image/png", ".svg": "image/svg+xml"}


def picture_of(folder: Path, contest_id: int) -> Path | None:
    """Where the contest's picture is; None if it has none."""
    return next((path for ending in TYPES if (path := _path(folder, contest_id, ending)).exists()), None)


def picture_digest(path: Path | None) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path else ""


def keep_picture(folder: Path, contest_id: int, ending: str, clean: bytes) -> None:
    """Keep what `checked` made of a picture in place of the one before."""
    path = _path(folder, contest_id, ending)
    private(folder, path.parent.name)
    half = path.with_suffix(".half")
    half.write_bytes(clean)
    drop_picture(folder, contest_id)
    half.replace(path)


def drop_picture(folder: Path, contest_id: int) -> None:
    for ending in TYPES:
        _path(folder, contest_id, ending).unlink(missing_ok=True)


def _path(folder: Path, contest_id: int, ending: str) -> Path:
    return folder / "pictures" / f"{contest_id}{ending}"
