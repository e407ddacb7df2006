"""The contest's own picture or seal for its award sheets: a file of the store."""

from __future__ import annotations

import hashlib
from io import BytesIO
from pathlib import Path

from contest import kept

TYPES = {".png": "image/png", ".svg": "image/svg+xml"}


def picture_of(contest_id: int) -> str | None:
    """What the contest's picture is called in the store; None if it has none."""
    return next((name for ending in TYPES if kept.is_there(name := _name(contest_id, ending))), None)


def picture_at(contest_id: int) -> Path | None:
    """Where a paper finds it."""
    name = picture_of(contest_id)
    return kept.at(name) if name else None


def picture_digest(path: Path | None) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path else ""


def keep_picture(contest_id: int, ending: str, clean: bytes) -> None:
    """Keep what `checked` made of a picture in place of the one before."""
    kept.keep(_name(contest_id, ending), BytesIO(clean))
    for other in TYPES.keys() - {ending}:
        kept.drop(_name(contest_id, other))


def drop_picture(contest_id: int) -> None:
    for ending in TYPES:
        kept.drop(_name(contest_id, ending))


def _name(contest_id: int, ending: str) -> str:
    return f"pictures/{contest_id}{ending}"
