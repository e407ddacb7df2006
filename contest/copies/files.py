"""What a copy is made of: the database, copied in one step, and the few files beside it. No Django here."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from scoring.core.texts import gettext as _

# What a copy of the data folder holds beside the database; printed files and collected static files are made anew.
KEPT = ("secret-key", "used", "demo-decided", "pictures")


class CopyFailed(Exception):
    """Says why there is no copy."""


def copy_database(source: Path, target: Path) -> None:
    """Copy a database that is in use. The copy is of one moment; whoever reads or writes meanwhile does not wait.

    All pages in one step, and from a process of its own: in steps, each save in between would begin the copy anew.
    """
    target.touch(mode=0o600)
    try:
        with (
            closing(sqlite3.connect(f"{source.as_uri()}?mode=rw", uri=True, timeout=20)) as database,
            closing(sqlite3.connect(target)) as copy,
        ):
            database.backup(copy)
            # One file, whole: a memory stick's file system may know no write-ahead log. A data folder that is
            # started from it turns the log on again.
            copy.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.Error as error:
        raise CopyFailed(_("the database cannot be copied: {error}").format(error=error)) from error


def copy_kept(folder: Path, target: Path) -> None:
    for name in KEPT:
        kept = folder / name
        if kept.is_dir():
            shutil.copytree(kept, target / name)
        elif kept.exists():
            shutil.copyfile(kept, target / name)
            with suppress(OSError):  # a memory stick's file system may know no owners
                (target / name).chmod(0o600)


def look_through(path: Path) -> dict[str, Any]:
    """What a database holds, once every page and index of it was read. Raises CopyFailed where it does not hold
    together."""
    try:
        with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as database:
            (verdict,) = database.execute("PRAGMA integrity_check(1)").fetchone()
            if verdict != "ok":
                raise CopyFailed(_("{path} does not hold together: {verdict}").format(path=path, verdict=verdict))
            contests = _contests(database)
            identity = _first(database, "SELECT uuid FROM contest_identity")
    except sqlite3.Error as error:
        raise CopyFailed(_("{path} cannot be opened: {error}").format(path=path, error=error)) from error
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return {"contests": contests, "database": identity, "size": path.stat().st_size, "digest": digest}


def _contests(database: sqlite3.Connection) -> list[dict[str, Any]]:
    contests = []
    columns = {row[1] for row in database.execute("PRAGMA table_info(contest_contest)")}
    whole = "WHERE loading_at IS NULL" if "loading_at" in columns else ""  # not one that is still being loaded
    query = f"SELECT id, name, revision FROM contest_contest {whole} ORDER BY id"  # noqa: S608 -- nobody's words
    for pk, name, revision in database.execute(query).fetchall():
        changed = _first(database, "SELECT max(at) FROM contest_trailentry WHERE contest_id = ?", pk)
        readings = _first(
            database,
            "SELECT count(*) FROM contest_reading JOIN contest_judgingclass ON judging_class_id = "
            "contest_judgingclass.id WHERE contest_id = ?",
            pk,
        )
        about = {"pk": pk, "name": name, "revision": revision, "changed": changed or "", "readings": readings}
        if "deleted_at" in columns:
            about["in_bin"] = bool(_first(database, "SELECT deleted_at FROM contest_contest WHERE id = ?", pk))
        if "trail_head" in columns:
            about["head"] = _first(database, "SELECT trail_head FROM contest_contest WHERE id = ?", pk)
        contests.append(about)
    return contests


def _first(database: sqlite3.Connection, query: str, *values: Any) -> Any:
    try:
        row = database.execute(query, values).fetchone()
    except sqlite3.OperationalError as error:
        if "no such table" in str(error):  # an older version's
            return ""
        raise
    return row[0] if row else ""


def sync_all(folder: Path) -> None:
    """Have every file of a folder on the disk before it is called a copy."""
    for path in [*folder.rglob("*")]:
        if path.is_file():
            with path.open("rb+") as file:
                os.fsync(file.fileno())
    sync_folder(folder)


def sync_folder(folder: Path) -> None:
    """Have what a folder lists on the disk; some systems have no way to."""
    with suppress(OSError):
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
