"""Who else serves the same database. On SQLite the data folder's own lock says that nobody does.

On PostgreSQL `up` serves alone, and `serve` and `work` are some of several, all with one secret key, and of one code
but while each is replaced by a newer one whose tables the older bears (`contest.serving.borne`). Each process holds
that for as long as its connection lasts (`contest.changes.held`), so nothing is left behind by one that was killed.
Whoever lost the connection takes it up again, and ends where somebody else came in between.
"""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from io import BytesIO

from django.conf import settings
from django.db import DEFAULT_DB_ALIAS, DatabaseError, InterfaceError, connection, connections
from django.utils.translation import gettext as _

from contest import kept
from contest.bootstrap import CHECKOUT
from contest.changes.held import Held, held_by_others, hold, let_go, wait_to_hold
from contest.serving import CannotServe
from contest.serving.borne import all_to_come_is_borne

ASK_EVERY = 3.0
"""Seconds between two looks whether the connection still holds."""

PROBE = f".probe-{secrets.token_hex(8)}"
"""A file that is kept and let go of, to see that files can be kept."""

CODE = ("contest/**/*.py", "reasons/**/*.py", "scoring/**/*.py", "templates/**/*.html", "requirements.txt")


@contextmanager
def present(what: str, lost: Callable[[str], None], works: bool = False) -> Iterator[Presence | None]:
    """Serve this database for as long as the block runs: alone, or, where the settings say so, as one of several;
    `works` says that it is there for the jobs that others order.

    Raises CannotServe, in words. `lost` is told, in words, if somebody else came to serve while the connection was
    gone; it is called by another thread.
    """
    if connection.vendor != "postgresql":
        yield None
        return
    presence = Presence(what, works)
    presence.take()
    stop = threading.Event()
    keeping = threading.Thread(target=presence.keep, args=[stop, lost], name="presence", daemon=True)
    keeping.start()
    try:
        yield presence
    finally:
        stop.set()
        keeping.join()
        presence.connection.close()


@contextmanager
def one_starts(presence: Presence | None = None) -> Iterator[bool]:
    """Let one process at a time look at the database; says whether it is to be brought up to date.

    It is not, where another of the same code has done so and still serves: triggers are made anew each time, which
    takes tables from those who read cards meanwhile.
    """
    if connection.vendor != "postgresql":
        yield True
        return
    wait_to_hold(connection, Held.STARTING)
    try:
        code = digest_of_code()
        yield all(number != code for number, _name in held_by_others(connection, Held.UP_TO_DATE))
        if presence:
            presence.is_up_to_date = hold(presence.connection, Held.UP_TO_DATE, code, shared=True)
    finally:
        let_go(connection, Held.STARTING)


class Presence:
    def __init__(self, what: str, works: bool = False) -> None:
        self.name = f"tanbark {what}, process {os.getpid()} on {socket.gethostname()}"[:60]
        self.several, self.works, self.is_up_to_date = settings.SEVERAL, works, False
        self.beside_other_code, self.files = False, 0
        self.connection = connections.create_connection(DEFAULT_DB_ALIAS)
        self.connection.inc_thread_sharing()

    def take(self) -> None:
        """Raises CannotServe and what Django raises of a database, and holds nothing then."""
        self.connection.close()
        try:
            self._take()
        except BaseException:
            self.connection.close()
            raise

    def _take(self) -> None:
        with self.connection.cursor() as cursor:
            cursor.execute("SELECT set_config('application_name', %s, false)", [self.name])
        if not hold(self.connection, Held.SERVED, shared=self.several):
            raise CannotServe(self._taken())
        if self.several:
            self._of_one_code()
            self._alike(Held.SECRET, digest_of_secret(), other_secret())
            self.files = self.files or digest_of_files()  # later the store may be as far away as the database was
            self._alike(Held.FILES, self.files, other_files())
        if self.works:
            hold(self.connection, Held.WORKS, shared=True)
        if self.is_up_to_date:
            hold(self.connection, Held.UP_TO_DATE, digest_of_code(), shared=True)

    def _of_one_code(self) -> None:
        mine = digest_of_code()
        hold(self.connection, Held.CODE, mine, shared=True)
        others = [name for number, name in held_by_others(self.connection, Held.CODE) if number != mine]
        self.beside_other_code = bool(others)
        if others and not all_to_come_is_borne():
            raise CannotServe(other_code().format(other=others[0]))

    def _alike(self, what: Held, mine: int, otherwise: str) -> None:
        hold(self.connection, what, mine, shared=True)
        for number, name in held_by_others(self.connection, what):
            if number != mine:
                raise CannotServe(otherwise.format(other=name))

    def _taken(self) -> str:
        others = [holder.name for holder in held_by_others(self.connection, Held.SERVED)]
        other = others[0] if others else _("another process")
        if self.several:
            return _(
                "This database is served by {other}, which serves alone. Stop it, and start it again with "
                "`manage.py serve`, as all others that serve this database."
            ).format(other=other)
        return _(
            "This database is served already, by {other}, and `manage.py up` serves alone. Stop that first; or start "
            "every process that serves this database with `manage.py serve`."
        ).format(other=other)

    def keep(self, stop: threading.Event, lost: Callable[[str], None]) -> None:
        while not stop.wait(ASK_EVERY):
            if self._lasts():
                continue
            try:
                self.take()
            except CannotServe as problem:
                lost(str(problem))
                return
            except (DatabaseError, InterfaceError):  # the server is away still
                connections.close_all()

    def _lasts(self) -> bool:
        """Whether there is still the connection by which all was taken; Django would open another, which holds
        nothing."""
        if self.connection.connection is None:
            return False
        try:
            with self.connection.cursor() as cursor:
                cursor.execute("SELECT 1")
        except (DatabaseError, InterfaceError):
            return False
        return True


def other_code() -> str:
    return _(
        "{other} serves this database with an older version of Tanbark, which does not bear what this one does to the "
        "tables. Stop every process that serves it, and start them with the same version."
    )


def other_secret() -> str:
    return _(
        "{other} serves this database with another secret key, so nobody who signed in there would be known here. "
        "Set TANBARK_SECRET_KEY to the same text for every process."
    )


def other_files() -> str:
    return _(
        "{other} serves this database and keeps files elsewhere, so papers and scanned pages would not be found here. "
        "Set TANBARK_FILES to the same folder, or the same s3://bucket/prefix, for every process."
    )


def digest_of_code() -> int:
    """What stands for all that this version does, migrations too."""
    digest = hashlib.sha256()
    for pattern in CODE:
        for path in sorted(CHECKOUT.glob(pattern)):
            digest.update(path.relative_to(CHECKOUT).as_posix().encode() + b"\0" + path.read_bytes())
    return _number(digest.digest())


def digest_of_secret() -> int:
    return _number(hmac.digest(settings.SECRET_KEY.encode(), b"presence", "sha256"))


def digest_of_files() -> int:
    """Raises CannotServe where they cannot be reached."""
    try:
        kept.keep(PROBE, BytesIO(b"Tanbark"))
        kept.drop(PROBE)
        return _number(hashlib.sha256(kept.identity().encode()).digest())
    except (OSError, ImportError) as problem:
        told = _("TANBARK_FILES={where} cannot be written to: {problem}. Mend that, then start again.")
        raise CannotServe(told.format(where=settings.FILES, problem=problem)) from problem


def _number(digest: bytes) -> int:
    return int.from_bytes(digest[:4], "big") >> 1
