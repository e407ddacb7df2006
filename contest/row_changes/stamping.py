"""Saying of the rows that a transaction changed which change they belong to, and proving what they were.

The digest of a row before a change is SHA-256 over its salt and its columns; that of a change is SHA-256 over those of
its rows. So the trail can hold on to what the rows were without saying it: where a name is made anonymous afterwards,
the row's digest stays in its place, and without the salt nobody can find the name by trying.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from typing import NamedTuple

from django.db import connection, transaction

from contest.models import RowChange, Unrecorded

COLUMNS = ("id", "of_table", "row", "kind", "salt", "before", "digest")

_STAMP = """
    UPDATE contest_rowchange SET contest_id = %s, revision = %s
    WHERE contest_id IS NULL AND revision IS NULL
    RETURNING id, of_table, "row", kind, salt, before, digest
"""


class KeptRow(NamedTuple):
    """A row of RowChange, as far as its digest is made of it."""

    id: int
    of_table: str
    row: int
    kind: str
    salt: str
    before: str | None
    digest: str


class Stamped(NamedTuple):
    digest: str
    keys: list[int]


def stamp(contest_id: int, revision: int) -> Stamped:
    """Let every row that this transaction has changed so far belong to a change, and return the change's digest.

    It is empty where it changed none. On PostgreSQL nobody sees the rows of a transaction that is still under way; on
    SQLite there is never more than one.
    """
    with connection.cursor() as cursor:
        cursor.execute(_STAMP, [contest_id, revision])
        rows = cursor.fetchall()
    kept = sorted(map(KeptRow._make, rows))
    return Stamped(digest_of(kept), [row.id for row in kept])


def unstamp(keys: list[int]) -> None:
    """Let rows belong to no change again: there was none at that revision."""
    RowChange.objects.filter(pk__in=keys).update(contest=None, revision=None)


def digest_of_change(contest_id: int, revision: int) -> str:
    """The digest of a change from the rows that are kept of it: what `stamp` returned, if none was touched since."""
    rows = RowChange.objects.filter(contest=contest_id, revision=revision).order_by("pk")
    return digest_of(map(KeptRow._make, rows.values_list(*COLUMNS).iterator(10_000)))


def digest_of(rows: Iterable[KeptRow]) -> str:
    """SHA-256 over those of the rows, oldest first; empty without any."""
    digest, is_empty = sha256(), True
    for row in rows:
        is_empty = False
        digest.update((row.digest or digest_of_row(row)).encode())
    return "" if is_empty else digest.hexdigest()


def digest_of_row(row: KeptRow) -> str:
    return sha256(f"{row.of_table} {row.row} {row.kind} {row.salt} {row.before}".encode()).hexdigest()


@contextmanager
def unrecorded() -> Iterator[None]:
    """Let nothing be written down of what is changed here: for what is not a change of a contest, such as deleting it.

    All of it happens in one transaction.
    """
    with transaction.atomic(savepoint=False):
        mark = Unrecorded.objects.create()
        yield
        mark.delete()
