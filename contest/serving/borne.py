"""Which changes of the tables the version before bears, so that one process after another can be replaced.

While they are, the older code reads and writes the newer tables. So a new table is borne, a new index, and a new column
that the database fills by itself where an insert does not name it; nothing is, that takes away or renames what the
older code asks for, nor what refuses its rows. Such a thing takes two versions: the first no longer needs it, the next
takes it away.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

from django.apps import apps
from django.core.management import call_command
from django.db import OperationalError, connection, models, transaction
from django.db.migrations import Migration, operations
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.operations.base import Operation

BORNE = (operations.CreateModel, operations.AddIndex, operations.RemoveIndex, operations.AlterModelOptions)

AS_SOON_AS = "300ms"
"""How long it waits for all tables; less than the second after which PostgreSQL ends somebody else who waits."""
TRIES = 100


def is_borne(operation: Operation) -> bool:
    """Whether code that knows nothing of it works on beside it."""
    if isinstance(operation, operations.AddField):
        field = operation.field
        return field.null or field.db_default is not models.NOT_PROVIDED or isinstance(field, models.ManyToManyField)
    return isinstance(operation, BORNE)


def not_borne(migration: Migration) -> list[Operation]:
    return [operation for operation in migration.operations if not is_borne(operation)]


def to_come() -> list[Migration]:
    """The migrations that the database does not have yet."""
    executor = MigrationExecutor(connection)
    return [migration for migration, _backwards in executor.migration_plan(executor.loader.graph.leaf_nodes())]


def all_to_come_is_borne() -> bool:
    return not any(not_borne(migration) for migration in to_come())


def migrate_if_behind() -> None:
    """Make what tables are missing. Where none is, others may be serving, whose triggers must not go for a moment."""
    if to_come():
        migrate(beside_others=False)


def migrate(beside_others: bool) -> None:
    """Bring the tables up to date. Beside processes of the version before nobody reads or writes meanwhile, as the
    triggers are away for a moment: whoever wants to waits for that second."""
    if not beside_others:
        call_command("migrate", interactive=False, verbosity=0)
        return
    for attempt in range(TRIES):
        try:
            with transaction.atomic(), _all_tables():
                call_command("migrate", interactive=False, verbosity=0)
            return
        except OperationalError:  # somebody had one of the tables for longer; whoever waited for us goes on meanwhile
            if attempt + 1 == TRIES:
                raise
            time.sleep(0.2)


@contextmanager
def _all_tables() -> Iterator[None]:
    there = set(connection.introspection.table_names())
    models_of = [
        apps.get_app_config(name).get_models(include_auto_created=True) for name in ("contest", "reasons", "scoring")
    ]
    tables = [model._meta.db_table for some in models_of for model in some if model._meta.db_table in there]
    ours = [connection.ops.quote_name(table) for table in tables]
    with connection.cursor() as cursor:
        cursor.execute(f"SET LOCAL lock_timeout = '{AS_SOON_AS}'")
        cursor.execute(f"LOCK TABLE {', '.join(ours)} IN ACCESS EXCLUSIVE MODE")
        cursor.execute("SET LOCAL lock_timeout = 0")
    yield
