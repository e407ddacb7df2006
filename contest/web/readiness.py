"""Whether a proxy should send this process anything new."""

from __future__ import annotations

import threading

from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext as _

draining = threading.Event()
"""Set when the process is about to end: it answers all that comes, and asks for no more."""

_migrated = threading.Event()


def not_ready() -> str:
    """Why it should not, in words; empty where it should."""
    if draining.is_set():
        return _("This process is about to end.")
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        if not _migrated.is_set():
            executor = MigrationExecutor(connection)
            if executor.migration_plan(executor.loader.graph.leaf_nodes()):
                return _("The database is not up to date.")
            _migrated.set()  # it never goes back while this code serves it
    except DatabaseError:
        return _("The database does not answer.")
    return ""
