"""Our triggers that a database has: all are made of the models after every `migrate`, and dropped before it.

SQLite drops a table's triggers when it changes the table's columns, and renames no table while a trigger names one that
is not there; and a model that has changed needs other ones.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import transaction

_LISTED = {
    "sqlite": "SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'",
    "postgresql": "SELECT tgname, relname FROM pg_trigger JOIN pg_class ON pg_class.oid = tgrelid"
    " WHERE NOT tgisinternal AND pg_table_is_visible(pg_class.oid)",
}


def triggers_there(connection: Any, prefix: str) -> list[tuple[str, str]]:
    """The triggers whose names begin so, each with its table."""
    with connection.cursor() as cursor:
        cursor.execute(_LISTED[connection.vendor])
        return sorted((name, table) for name, table in cursor.fetchall() if name.startswith(prefix))


def drop_triggers_there(connection: Any, prefix: str) -> None:
    with transaction.atomic(connection.alias), connection.cursor() as cursor:
        for name, table in triggers_there(connection, prefix):
            on = f" ON {connection.ops.quote_name(table)}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER {connection.ops.quote_name(name)}{on}")


def run_together(connection: Any, statements: Iterable[str]) -> None:
    """Run statements in one transaction."""
    with transaction.atomic(connection.alias), connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def refusing(vendor: str, name: str, table: str, event: str, where: str, told: str, changed: str = "") -> list[str]:
    """The statements that make a trigger which refuses a row of a table `where` something holds of it, and says what
    the row would be; `changed`, where it is given, says of an update whether it has to be looked at."""
    make = {"sqlite": _refusing_on_sqlite, "postgresql": _refusing_on_postgresql}[vendor]
    return make(name, table, event, where, told, changed)


def _refusing_on_sqlite(name: str, table: str, event: str, where: str, told: str, changed: str) -> list[str]:
    when = f"({changed}) AND ({where})" if changed else where
    return [
        f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW WHEN {when} "
        f"BEGIN SELECT RAISE(ABORT, 'a row of {table} {told}'); END"
    ]


def _refusing_on_postgresql(name: str, table: str, event: str, where: str, told: str, changed: str) -> list[str]:
    """A condition on a trigger may not look at another table there, so it stands within the function."""
    return [
        f"""
        CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$
        BEGIN
            IF {where} THEN
                RAISE EXCEPTION 'a row of % {told}', TG_TABLE_NAME USING ERRCODE = 'integrity_constraint_violation';
            END IF;
            RETURN NEW;
        END $$
        """,
        f"CREATE TRIGGER {name} BEFORE {event} ON {table} FOR EACH ROW "
        + (f"WHEN ({changed}) " if changed else "")
        + f"EXECUTE FUNCTION {name}()",
    ]
