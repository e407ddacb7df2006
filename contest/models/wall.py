"""A second wall between organisations, on PostgreSQL: the database itself shows whoever has a reach nothing of another.

What stands at the top of a tree has a policy (row-level security) that looks at the connection's `application_name`. Of
that setting PostgreSQL tells the client whenever it changes, also where a transaction that set it is rolled back, so
that nobody has to remember what the server knows: before each statement it is compared with the reach of whoever asks,
and only where they differ is anything more sent. Under any other name, as without a reach, every row is seen.

A superuser passes by every policy, so Tanbark's role is to be none. The owner of the tables is forced to keep to them.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.apps import apps as installed
from django.apps.registry import Apps
from django.db import connection, connections

from contest.models.one_organisation import COLUMN, owned
from contest.models.organisations import OwnedBy, Reach, reach_now
from contest.models.triggers import run_together

POLICY = "one_organisation"
SETTING = "application_name"
NAMED = "tanbark for organisation "
SEEN = f"current_setting('{SETTING}') NOT LIKE '{NAMED}%' OR current_setting('{SETTING}') = '{NAMED}' || {COLUMN}"
ON = "ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY"
OFF = "DISABLE ROW LEVEL SECURITY, NO FORCE ROW LEVEL SECURITY"
THERE = """
SELECT relname FROM pg_policy JOIN pg_class ON pg_class.oid = polrelid
WHERE polname = %s AND pg_table_is_visible(pg_class.oid) ORDER BY relname
"""
PASSES = "SELECT rolsuper OR rolbypassrls FROM pg_roles WHERE rolname = current_user"


def drop_policies(using: str, **_signal: Any) -> None:
    """Before a migration, which could not alter a column that a policy looks at."""
    if connections[using].vendor != "postgresql":
        return
    with connections[using].cursor() as cursor:
        cursor.execute(THERE, [POLICY])
        tables = [table for (table,) in cursor.fetchall()]
    for table in tables:
        _alter(using, f"ALTER TABLE {table} {OFF}", f"DROP POLICY {POLICY} ON {table}")


def make_policies(using: str, apps: Apps = installed, plan: Any = None, **_signal: Any) -> None:
    """After a migration. `apps` is what the database holds then; there is no `plan` after a flush, which drops none."""
    if plan is None or connections[using].vendor != "postgresql":
        return
    tops = {model._meta.label for model in installed.get_models() if is_top(model)}
    for table in sorted(model._meta.db_table for model in owned(apps) if model._meta.label in tops):
        _alter(using, f"CREATE POLICY {POLICY} ON {table} USING ({SEEN})", f"ALTER TABLE {table} {ON}")


def is_passed_by() -> bool:
    """Whether Tanbark's own role is one whom no policy holds."""
    with connection.cursor() as cursor:
        cursor.execute(PASSES)
        (passes,) = cursor.fetchone()
    return bool(passes)


def is_top(model: Any) -> bool:
    return any(isinstance(field, OwnedBy) for field in model._meta.local_fields)


def _alter(using: str, *statements: str) -> None:
    """In a transaction of its own: whoever waits for one table and has another would keep readers from both."""
    run_together(connections[using], statements)


def watch(connection: Any, **_signal: Any) -> None:
    """Let a connection that was made follow the reach of whoever asks by it."""
    if connection.vendor == "postgresql" and follow not in connection.execute_wrappers:
        connection.execute_wrappers.insert(0, follow)  # whoever takes one away for a while takes the last


def follow(execute: Callable[..., Any], statement: Any, values: Any, many: bool, context: dict[str, Any]) -> Any:
    """Execute a statement within the reach of whoever asks."""
    connection = context["connection"]
    with connection.wrap_database_errors:
        server = connection.connection
        wanted, told = _name(reach_now()), server.info.parameter_status(SETTING) or ""
        # Where a transaction has failed nothing is read before it is rolled back, and nothing can be set.
        if told != wanted and (wanted or told.startswith(NAMED)) and server.info.transaction_status.name != "INERROR":
            server.execute(f"SET {SETTING} = '{wanted}'" if wanted else f"RESET {SETTING}")
    return execute(statement, values, many, context)


def _name(reach: Reach | None) -> str:
    """Empty for whoever sees everything."""
    return "" if reach is None else f"{NAMED}{reach.organisation or 'none'}"
