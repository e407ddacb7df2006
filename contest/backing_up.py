"""A copy of everything, taken while the contest goes on."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import mkdtemp

from django.conf import settings
from django.db import connection

from contest.reading import NotPossible

# What a copy of the data folder holds beside the database; printed files and collected static files are made anew.
KEPT = ("secret-key", "demo-decided", "pictures")


def back_up(folder: Path) -> Path:
    """Copy the database, the secret key and the contests' pictures to `folder`.

    It then is a data folder like the one in use. The copy is of one moment, and nobody waits for it. Gives back the
    copy's database. Raises NotPossible where the folder holds something, where the database is not SQLite, or where
    the copy does not hold together; OSError where it cannot be written.
    """
    if connection.vendor != "sqlite":
        raise NotPossible(
            "the database is a server's own; copy it with pg_dump, and the data folder's secret-key with it"
        )
    if folder.exists() and not (folder.is_dir() and not any(folder.iterdir())):
        raise NotPossible(f"{folder} is there and not empty; name a new folder, so that no earlier copy is lost")
    folder.parent.mkdir(parents=True, exist_ok=True)
    made = Path(mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))  # for nobody else's eyes, as the folder in use
    try:
        _copy_database(made / "db.sqlite3")
        for name in KEPT:
            kept = settings.DATA_FOLDER / name
            if kept.is_dir():
                shutil.copytree(kept, made / name)
            elif kept.exists():
                shutil.copy2(kept, made / name)
        # A rename onto an empty folder is possible on some systems only.
        if folder.exists():
            folder.rmdir()
        made.rename(folder)
    finally:
        shutil.rmtree(made, ignore_errors=True)
    return folder / "db.sqlite3"


def _copy_database(path: Path) -> None:
    path.touch(mode=0o600)
    connection.ensure_connection()
    with closing(sqlite3.connect(path)) as copy:
        connection.connection.backup(copy)
        (verdict,) = copy.execute("PRAGMA integrity_check").fetchone()
    if verdict != "ok":
        raise NotPossible(
            f"the copy does not hold together ({verdict}); keep the data folder as it is and copy it whole"
        )
    with path.open("rb+") as written:
        os.fsync(written.fileno())
