"""What one process holds before all others that share a PostgreSQL: advisory locks of a connection.

Whatever becomes of the process or its machine, its connection ends and lets go of them; so nobody's clock is trusted.
A machine that is cut off keeps its connection, with all that it has locked, until the server has asked for it in vain;
`notice_soon` makes that a matter of seconds.
"""

from __future__ import annotations

from enum import IntEnum
from typing import Any, NamedTuple

from django.db.backends.base.base import BaseDatabaseWrapper


class Held(IntEnum):
    """What can be held, each with a number from 0 to 2^31 - 1 beside it."""

    SERVED = 72001
    CODE = 72002
    SECRET = 72003
    STARTING = 72004
    WORKS = 72005
    PRINT = 72006
    UP_TO_DATE = 72007
    SCAN = 72008
    FILES = 72009
    TIMETABLE = 72010
    UPLOAD = 72011


class Holder(NamedTuple):
    number: int
    name: str


HOLDERS = """
    SELECT objid::bigint, coalesce(application_name, '') || coalesce(' (' || host(client_addr) || ')', '')
    FROM pg_locks JOIN pg_stat_activity USING (pid)
    WHERE locktype = 'advisory' AND objsubid = 2 AND classid = %s AND granted AND pid <> pg_backend_pid()
        AND database = (SELECT oid FROM pg_database WHERE datname = current_database())
    ORDER BY backend_start
"""


def notice_soon(connection: BaseDatabaseWrapper, **_signal: Any) -> None:
    """Of a connection that was made: have the server ask a machine that is silent for five seconds whether it is there,
    and give it up after ten. Whoever else waits for what it was changing waits no longer."""
    if connection.vendor != "postgresql":
        return
    asked = {"tcp_keepalives_idle": 5, "tcp_keepalives_interval": 2, "tcp_keepalives_count": 3}
    settings = {**asked, "tcp_user_timeout": 10_000}
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT " + ", ".join(f"set_config('{name}', '{value}', false)" for name, value in settings.items())
        )


def hold(connection: BaseDatabaseWrapper, what: Held, number: int = 0, shared: bool = False) -> bool:
    """Take it, if nobody else has it; `shared` is had by any number of others who share it too."""
    function = "pg_try_advisory_lock_shared" if shared else "pg_try_advisory_lock"
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {function}(%s, %s)", [what, number])
        return bool(cursor.fetchone()[0])


def wait_to_hold(connection: BaseDatabaseWrapper, what: Held, number: int = 0) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s, %s)", [what, number])


def let_go(connection: BaseDatabaseWrapper, what: Held, number: int = 0) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_unlock(%s, %s)", [what, number])


def held_by_others(connection: BaseDatabaseWrapper, what: Held) -> list[Holder]:
    """Who else holds it, under which numbers, those who came first before the others."""
    with connection.cursor() as cursor:
        cursor.execute(HOLDERS, [what])
        return [Holder(*row) for row in cursor.fetchall()]
