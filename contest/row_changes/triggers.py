"""The triggers that write down what every row was before it changed. They are made of the models' own columns.

They are made again after every migration, and dropped before it (`contest.models.triggers`): what a migration itself
changes is not written down.
"""

from __future__ import annotations

from typing import Any

from django.apps import apps as installed
from django.apps.registry import Apps
from django.db import connections, transaction
from django.db.models import Model

from contest.models.triggers import drop_triggers_there
from contest.row_changes.tables import recorded

PREFIX = "rows_before_"
KINDS = ("insert", "update", "delete")
TABLE = "contest_rowchange"


def drop_triggers(using: str, **_kwargs: Any) -> None:
    """Before a migration; see above."""
    drop_triggers_there(connections[using], PREFIX)


def make_triggers(using: str, apps: Apps = installed, plan: Any = None, **_kwargs: Any) -> None:
    """After a migration. `apps` is what the database holds then, which need not be the newest."""
    connection = connections[using]
    if TABLE not in connection.introspection.table_names():
        return
    with transaction.atomic(using), connection.cursor() as cursor:
        if plan is None:  # a flush: its own deletions are no part of anything
            cursor.execute(f"DELETE FROM {TABLE}")  # noqa: S608 -- our own name
            return
        for statement in statements(connection.vendor, apps):
            cursor.execute(statement)


def statements(vendor: str, apps: Apps = installed) -> list[str]:
    """The statements that make all triggers, in a database that has none of them."""
    make = {"sqlite": _for_sqlite, "postgresql": _for_postgresql}[vendor]
    made = [_FUNCTION] if vendor == "postgresql" else []
    for model, left_out, only_deletions in recorded(apps):
        columns = [field.column for field in model._meta.local_concrete_fields if field.column not in left_out]
        for kind in KINDS if not only_deletions else ("delete",):
            if kind == "update" or not left_out:  # making and deleting a whole contest is no change within it
                made.append(make(model, columns, sorted(left_out), kind))
    return made


def name_of(model: type[Model], kind: str) -> str:
    return f"{PREFIX}{kind}_{model._meta.db_table}"


def _for_sqlite(model: type[Model], columns: list[str], _left_out: list[str], kind: str) -> str:
    table, pk = model._meta.db_table, model._meta.pk.column
    old, event, condition = "NULL", kind.upper(), ""
    if kind != "insert":
        old = "json_object({})".format(", ".join(f"'{column}', OLD.\"{column}\"" for column in columns))
    if kind == "update":
        event = "UPDATE OF " + ", ".join(f'"{column}"' for column in columns)
        condition = "WHEN " + " OR ".join(f'OLD."{column}" IS NOT NEW."{column}"' for column in columns)
    salt = "''" if kind == "insert" else "lower(hex(randomblob(16)))"
    row = "NEW" if kind == "insert" else "OLD"
    return f"""
        CREATE TRIGGER {name_of(model, kind)} AFTER {event} ON {table} FOR EACH ROW {condition}
        BEGIN
            INSERT INTO {TABLE} (of_table, row, kind, salt, before, digest)
            SELECT '{table}', {row}."{pk}", '{kind}', {salt}, {old}, ''
            WHERE NOT EXISTS (SELECT 1 FROM contest_unrecorded);
        END
    """  # noqa: S608 -- names of tables and columns, which are our own


_FUNCTION = f"""
    CREATE OR REPLACE FUNCTION keep_row_before() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        IF EXISTS (SELECT 1 FROM contest_unrecorded) THEN
            RETURN NULL;
        ELSIF TG_OP = 'INSERT' THEN
            INSERT INTO {TABLE} (of_table, "row", kind, salt, before, digest)
            VALUES (TG_TABLE_NAME, NEW.id, 'insert', '', NULL, '');
        ELSE
            INSERT INTO {TABLE} (of_table, "row", kind, salt, before, digest)
            VALUES (TG_TABLE_NAME, OLD.id, lower(TG_OP), replace(gen_random_uuid()::text, '-', ''),
                    (to_jsonb(OLD) - coalesce(TG_ARGV, '{{}}'::text[]))::text, '');
        END IF;
        RETURN NULL;
    END $$
"""  # noqa: S608 -- our own name
"""Its arguments are the columns to leave out."""


def _for_postgresql(model: type[Model], columns: list[str], left_out: list[str], kind: str) -> str:
    event, condition = kind.upper(), ""
    if kind == "update":
        old, new = (", ".join(f'{which}."{column}"' for column in columns) for which in ("OLD", "NEW"))
        condition = f"WHEN (({old}) IS DISTINCT FROM ({new}))"
    arguments = ", ".join(f"'{column}'" for column in left_out)
    return f"""
        CREATE TRIGGER {name_of(model, kind)} AFTER {event} ON {model._meta.db_table}
        FOR EACH ROW {condition} EXECUTE FUNCTION keep_row_before({arguments})
    """
