"""Looking at an SQLite database before anything is done with it: is it there, whole, ours, and of this version?

Nothing here writes to the database, and nothing is made. What is wrong is told in one sentence that names the file.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

from contest.disk.room import megabytes, room_left, try_to_write
from contest.disk.used import database_of, was_used
from scoring.core.texts import gettext as _

HEADER = b"SQLite format 3\0"
NEEDED = 20_000_000  # bytes free, without which no day can begin
OUR_APPS = ("contest", "scoring", "reasons")

Migration = tuple[str, str]


@dataclass(frozen=True)
class Damage(Exception):
    """What is wrong. `kind` is one word; where it is `lost`, a good copy is what helps."""

    kind: str
    text: str
    lost: bool = True

    def __str__(self) -> str:
        return self.text


def look_at_folder(folder: Path) -> None:
    """Raises Damage where the data folder cannot be written. A folder that is not there yet is no trouble."""
    if not folder.exists():
        return
    try:
        try_to_write(folder)
    except OSError as error:
        left = room_left(folder)
        if left < NEEDED:
            raise _full(folder, left) from error
        raise Damage(
            "read-only",
            _("{folder} cannot be written to: {strerror}.").format(folder=folder, strerror=error.strerror),
            lost=False,
        ) from error
    if (left := room_left(folder)) < NEEDED:
        raise _full(folder, left)


def _full(folder: Path, left: int) -> Damage:
    return Damage(
        "full",
        _("The disk that holds {folder} is full: {left} left.").format(folder=folder, left=megabytes(left)),
        lost=False,
    )


def look_at_database(path: Path, known: Collection[Migration]) -> bool:
    """Raises Damage where the database at `path` is not what its folder says was there; `known` are the migrations of
    this version.

    Says whether there is a database that an older version made, which is to be copied before it is changed.
    """
    used = was_used(path.parent)
    if not path.exists():
        if used:
            raise Damage("missing", _missing(path))
        return False
    if path.is_dir():
        raise Damage("foreign", _("{path} is a folder, and should be the database.").format(path=path))
    size = path.stat().st_size
    if size == 0:
        if used:
            raise Damage("empty", _("{path} is empty, and this folder was used before.").format(path=path))
        return False
    try:
        with path.open("rb") as file:
            start = file.read(len(HEADER))
        with path.open("rb+"):
            pass
    except OSError as error:
        raise Damage(
            "read-only",
            _("{path} cannot be opened for writing: {strerror}.").format(path=path, strerror=error.strerror),
            lost=False,
        ) from error
    if start != HEADER:
        raise Damage(
            "foreign", _("{path} is no SQLite database: its first bytes are something else.").format(path=path)
        )
    try:
        return _look_inside(path, known)
    except sqlite3.DatabaseError as error:
        if "readonly" in str(error):
            raise Damage("read-only", _("{path} cannot be written to.").format(path=path), lost=False) from error
        if "locked" in str(error):
            raise Damage(
                "in use", _("{path} is in use by another program; stop that one first.").format(path=path), lost=False
            ) from error
        raise Damage("damaged", _("{path} is damaged: {error}.").format(path=path, error=error)) from error


def _missing(path: Path) -> str:
    wal = path.with_name(f"{path.name}-wal")
    if wal.exists() and wal.stat().st_size:
        return _(
            "{path} is missing, and its {name} lies there without it. If somebody moved the database, move "
            "it back beside that file: the last saves are in it."
        ).format(path=path, name=wal.name)
    return _("{path} is missing, and this folder was used before.").format(path=path)


def _look_inside(path: Path, known: Collection[Migration]) -> bool:
    with closing(sqlite3.connect(path, timeout=5)) as database:
        verdict = [row[0] for row in database.execute("PRAGMA quick_check(3)")]
        if verdict != ["ok"]:
            first = " ".join(verdict[0].split())
            raise Damage("damaged", _("{path} is damaged: {first}.").format(path=path, first=first))
        tables = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        if not {"django_migrations", "contest_contest"} <= tables:
            if tables or was_used(path.parent):
                raise Damage("foreign", _("{path} is a database, but not one of Tanbark's.").format(path=path))
            return False
        made = set(database.execute("SELECT app, name FROM django_migrations").fetchall())
        look_at_version(str(path), made, known)
        here, belongs = _own_id(database, tables), database_of(path.parent)
        if here and belongs and here != belongs:
            raise Damage(
                "foreign",
                _("{path} is another Tanbark's database; the one that belongs here has another id.").format(path=path),
            )
        return any(migration[0] in OUR_APPS and migration not in made for migration in known)


def look_at_version(database: str, made: Collection[Migration], known: Collection[Migration]) -> None:
    """Raises Damage where a database, named as in a sentence, holds migrations that this version does not know."""
    ours, mine = ({migration for migration in some if migration[0] in OUR_APPS} for some in (made, known))
    if not (unknown := sorted(ours - mine)):
        return
    last = " ".join(unknown[-1])
    if mine <= ours:
        text = _("{database} was made by a newer version of Tanbark ({last}); start it with that version.").format(
            database=database, last=last
        )
        raise Damage("newer", text, lost=False)
    text = _(
        "{database} was made by a version of Tanbark that this one does not follow on from ({last}). Start "
        "it with that version and save each contest as a book; this version takes books in, in a new data "
        "folder: --data DIR"
    ).format(database=database, last=last)
    raise Damage("another version", text, lost=False)


def _own_id(database: sqlite3.Connection, tables: set[str]) -> UUID | None:
    row = "contest_identity" in tables and database.execute("SELECT uuid FROM contest_identity").fetchone()
    return UUID(row[0]) if row else None
