"""How a data folder knows that it was used before, and which database is its own.

The database carries an id of its own, and the folder a file that names it. A folder whose file is there has held a
contest: where its database is gone or another, that is a loss, and no reason to start anew.
"""

from __future__ import annotations

import os
from pathlib import Path
from uuid import UUID

USED = "used"
DATABASE = "db.sqlite3"

# What only a folder that was served from holds; older folders have no file `used`.
SIGNS = (USED, "demo-decided")


def was_used(folder: Path) -> bool:
    """Has this folder held a database that somebody may miss?"""
    wal = folder / f"{DATABASE}-wal"
    return any((folder / name).exists() for name in SIGNS) or (wal.exists() and wal.stat().st_size > 0)


def database_of(folder: Path) -> UUID | None:
    """The id of the database that belongs here; None where the folder does not say."""
    try:
        return UUID((folder / USED).read_text(encoding="ascii").strip())
    except (OSError, ValueError):
        return None


def mark_used(folder: Path, database: UUID) -> None:
    """Write down which database belongs here, whole or not at all."""
    if database_of(folder) == database:
        return
    half = folder / f"{USED}.half"
    with half.open("w", encoding="ascii") as file:
        file.write(f"{database}\n")
        file.flush()
        os.fsync(file.fileno())
    half.replace(folder / USED)
