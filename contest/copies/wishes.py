"""Asking for a copy from within a change: a small file that whoever makes the copies finds within a second."""

from __future__ import annotations

import logging
from pathlib import Path
from uuid import uuid4

from django.conf import settings
from django.db import transaction

from contest.copies.places import default_shelf

log = logging.getLogger(__name__)

LONGEST_WHY = 200


def ask_for_copy(why: str) -> None:
    """Have a copy made once the present change is saved. `why` names no person: it stands in a list of copies.

    A change never fails for want of a copy: where the wish cannot be written, the disk is the trouble, and that is told
    elsewhere.
    """
    if not settings.SEVERAL:  # whose copies are made where the database is
        transaction.on_commit(lambda: _write(why), robust=True)


def _write(why: str) -> None:
    try:
        folder = _folder()
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        (folder / f"{uuid4()}.half").write_text(why[:LONGEST_WHY], encoding="utf-8")
        for half in folder.glob("*.half"):
            half.replace(half.with_suffix(".wish"))
    except OSError as error:
        log.warning("no copy could be asked for: %s", error)


def wishes() -> dict[Path, str]:
    """What was asked for and not yet made, the file of each wish and why."""
    wanted = {}
    for path in sorted(_folder().glob("*.wish")):
        try:
            wanted[path] = path.read_text(encoding="utf-8")
        except OSError:
            continue
    return wanted


def grant(granted: dict[Path, str]) -> None:
    for path in granted:
        path.unlink(missing_ok=True)


def _folder() -> Path:
    return default_shelf() / "wanted"
