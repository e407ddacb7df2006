"""Disk trouble while the server runs: what an error means, and since when nothing can be saved.

It is kept in memory, since there is nowhere to write it. It is over once something could be saved again.
"""

from __future__ import annotations

import errno
import logging
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError, InterfaceError, OperationalError
from django.utils import timezone

from contest.disk.room import try_to_write

log = logging.getLogger(__name__)

FULL, READ_ONLY, FAILING, DAMAGED, BUSY, AWAY = "full", "read-only", "failing", "damaged", "busy", "away"
LASTING = {FULL, READ_ONLY, FAILING, DAMAGED, AWAY}
"""What stays until somebody mends it; a busy database is busy for a moment."""

BY_ERRNO = {
    errno.ENOSPC: FULL,
    getattr(errno, "EDQUOT", errno.ENOSPC): FULL,
    errno.EROFS: READ_ONLY,
    errno.EIO: FAILING,
}
BY_SQLITE = {
    sqlite3.SQLITE_FULL: FULL,
    sqlite3.SQLITE_READONLY: READ_ONLY,
    sqlite3.SQLITE_PERM: READ_ONLY,
    sqlite3.SQLITE_IOERR: FAILING,
    sqlite3.SQLITE_CANTOPEN: FAILING,
    sqlite3.SQLITE_CORRUPT: DAMAGED,
    sqlite3.SQLITE_NOTADB: DAMAGED,
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
}
BY_SQLSTATE = {"53100": FULL, "25006": READ_ONLY, "58030": FAILING, "XX001": DAMAGED, "XX002": DAMAGED}

PROBE_EVERY = 5.0  # seconds


@dataclass(frozen=True)
class Trouble:
    kind: str
    since: datetime


_trouble: Trouble | None = None
_tried_at = 0.0
_lock = threading.Lock()


def kind_of(error: BaseException | None) -> str:
    """Which trouble of the disk or the database an error is; empty for one that is none."""
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        if kind := _kind_of_one(error):
            return kind
        error = error.__cause__ or error.__context__
    return ""


def _kind_of_one(error: BaseException) -> str:
    if isinstance(error, sqlite3.Error):
        code = getattr(error, "sqlite_errorcode", None)
        return BY_SQLITE.get(code & 0xFF, "") if code else ""
    if isinstance(error, DatabaseError | InterfaceError):
        if not hasattr(error.__cause__, "sqlstate"):  # not a server's
            return ""
        state: str | None = getattr(error.__cause__, "sqlstate", None)
        lost = isinstance(error, OperationalError | InterfaceError) and state is None
        return AWAY if lost else BY_SQLSTATE.get(state or "", "")
    return BY_ERRNO.get(error.errno or 0, "") if isinstance(error, OSError) else ""


def closer(kind: str) -> str:
    """What a disk that fails turns out to be: SQLite says only that it fails of one that turned read-only."""
    if kind == FAILING:
        try:
            try_to_write(Path(settings.DATA_FOLDER))
        except OSError as error:
            return BY_ERRNO.get(error.errno or 0, kind)
    return kind


def report(kind: str) -> None:
    """Something could not be saved for this reason."""
    global _trouble, _tried_at
    if kind not in LASTING:
        return
    with _lock:
        _tried_at = time.monotonic()
        if _trouble is None or _trouble.kind != kind:
            _trouble = Trouble(kind, _trouble.since if _trouble else timezone.localtime())
            log.error("nothing can be saved: %s", kind)


def trouble() -> Trouble | None:
    """What keeps the server from saving now; None where all is well. Asks the disk itself from time to time."""
    if _trouble is not None and time.monotonic() - _tried_at >= PROBE_EVERY:
        try_again()
    return _trouble


def try_again() -> None:
    """Find out whether the disk can be written again. What the database alone can tell is left to its next save."""
    global _trouble, _tried_at
    with _lock:
        if _trouble is None:
            return
        _tried_at = time.monotonic()
        kind = _trouble.kind
    try:
        if kind not in (DAMAGED, AWAY):
            try_to_write(Path(settings.DATA_FOLDER))
        _save_nothing()
    except (OSError, DatabaseError, InterfaceError):
        return
    with _lock:
        _trouble = None
    log.warning("the disk can be written to again")


def _save_nothing() -> None:
    """A save that changes nothing, down to the disk."""
    from contest.changes import one_change
    from contest.models import Identity

    with one_change():
        Identity.objects.filter(one=True).update(one=True)


def forget() -> None:
    global _trouble
    _trouble = None


@contextmanager
def not_worth_a_page() -> Iterator[None]:
    """Around a write that a page can do without, such as when a helper was last seen: where it fails for the disk's
    sake, that is reported and the page goes on."""
    try:
        yield
    except (OSError, DatabaseError) as error:
        if not (kind := kind_of(error)):
            raise
        report(kind)
