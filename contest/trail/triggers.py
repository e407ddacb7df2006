"""The database itself keeps the trail append-only: triggers refuse to change or delete what was written.

They are no part of a migration, because SQLite drops a table's triggers whenever a later migration builds the table
anew: `keep_triggers` runs after every `migrate`, and makes what is missing. A migration that must change entries drops
them first (`drop_triggers`).
"""

from __future__ import annotations

from typing import Any

from django.db import connections

from contest.models import TrailDoor, TrailEntry, TrailName

REFUSED = "the trail is never changed"

ENTRY, NAME, DOOR = (model._meta.db_table for model in (TrailEntry, TrailName, TrailDoor))
LOCKED = f"NOT EXISTS (SELECT 1 FROM {DOOR} WHERE contest_key = OLD.contest_id)"  # noqa: S608 -- names of our own
# A name can be forgotten, and then be of no contest any more; it never becomes another.
ANOTHER = (
    "NEW.id <> OLD.id OR NEW.token <> OLD.token OR NEW.name IS NOT NULL OR NEW.salt <> '' "
    "OR NOT (NEW.contest_id IS NULL OR (OLD.contest_id IS NOT NULL AND NEW.contest_id = OLD.contest_id))"
)

WHEN = {
    "trail_entry_unchanged": ("UPDATE", ENTRY, ""),
    "trail_entry_kept": ("DELETE", ENTRY, LOCKED),
    "trail_name_unchanged": ("UPDATE", NAME, ANOTHER),
    "trail_name_kept": ("DELETE", NAME, ""),
}
"""By trigger: on which statement, of which table, and under which condition it refuses."""

REPLACING = {
    "trail_entry_not_replaced": (
        ENTRY,
        f"EXISTS (SELECT 1 FROM {ENTRY} WHERE id = NEW.id)"  # noqa: S608 -- names of our own
        f" OR EXISTS (SELECT 1 FROM {ENTRY} WHERE contest_id IS NEW.contest_id AND revision = NEW.revision)",
    ),
    "trail_name_not_replaced": (NAME, f"EXISTS (SELECT 1 FROM {NAME} WHERE id = NEW.id OR token = NEW.token)"),  # noqa: S608
}
"""On SQLite alone, `INSERT OR REPLACE` deletes the row that is in the way, and no trigger hears of it."""


def keep_triggers(using: str = "default", **_signal: Any) -> None:
    """Make the triggers that are missing; nothing before the tables are there."""
    connection = connections[using]
    if DOOR not in connection.introspection.table_names():
        return
    with connection.cursor() as cursor:
        for statement in made(connection.vendor):
            cursor.execute(statement)


def drop_triggers(using: str = "default") -> None:
    with connections[using].cursor() as cursor:
        for statement in dropped(connections[using].vendor):
            cursor.execute(statement)


def made(vendor: str) -> list[str]:
    """The statements that make the triggers anew."""
    return _on_postgresql() if vendor == "postgresql" else _on_sqlite()


def dropped(vendor: str) -> list[str]:
    if vendor == "postgresql":
        return [f"DROP FUNCTION IF EXISTS {name}() CASCADE" for name in (*WHEN, "trail_not_emptied")]
    return [f"DROP TRIGGER IF EXISTS {name}" for name in (*WHEN, *REPLACING)]


def _on_sqlite() -> list[str]:
    return [
        f"CREATE TRIGGER IF NOT EXISTS {name} BEFORE {statement} ON {table} "
        + (f"WHEN {condition} " if condition else "")
        + f"BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END"
        for name, (statement, table, condition) in WHEN.items()
    ] + [
        f"CREATE TRIGGER IF NOT EXISTS {name} BEFORE INSERT ON {table} WHEN {condition} "
        f"BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END"
        for name, (table, condition) in REPLACING.items()
    ]


def _on_postgresql() -> list[str]:
    """A condition on a trigger may not look at another table there, so it stands within the function."""
    refuse = f"RAISE EXCEPTION '{REFUSED}' USING ERRCODE = 'restrict_violation';"
    statements = []
    for name, (statement, table, condition) in WHEN.items():
        row = "OLD" if statement == "DELETE" else "NEW"
        body = f"IF {condition} THEN {refuse} END IF; RETURN {row};" if condition else refuse
        statements += [
            f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body} END $$",
            f"CREATE OR REPLACE TRIGGER {name} BEFORE {statement} ON {table} FOR EACH ROW EXECUTE FUNCTION {name}()",
        ]
    statements.append(
        f"CREATE OR REPLACE FUNCTION trail_not_emptied() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {refuse} END $$"
    )
    return statements + [
        f"CREATE OR REPLACE TRIGGER trail_not_emptied BEFORE TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION trail_not_emptied()"
        for table in (ENTRY, NAME)
    ]
