"""The process that makes one copy: told on its input which database and where to, it says on its output what it found.

Run as `python -m contest.copies.child`, by `contest.copies.making` alone. It copies, then opens the copy as a database
of its own and scores every contest in it; only then is it a copy. It ends when its input does: whoever started it is
gone.
"""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

from contest.background import end_with_the_server
from scoring.core.texts import gettext as _


def main() -> None:
    if hasattr(os, "nice"):
        os.nice(19)  # people at the desks come first
    order = json.loads(sys.stdin.readline())
    end_with_the_server()
    from contest.copies.files import CopyFailed

    try:
        print(json.dumps(carry_out(order)), flush=True)
    except (CopyFailed, OSError) as problem:
        print(json.dumps({"problem": explain(problem)}), flush=True)
        sys.exit(1)


def explain(problem: Exception) -> str:
    if isinstance(problem, OSError):
        return f"{problem.filename or _('the copy')}: {problem.strerror or problem}"
    return str(problem)


def carry_out(order: dict[str, Any]) -> dict[str, Any]:
    from contest.copies.files import copy_database, copy_kept, look_through, sync_all

    made = Path(order["made"])
    if order["source"]:
        copy_database(Path(order["source"]), made / "db.sqlite3")
        copy_kept(Path(order["data_folder"]), made)
    contents = look_through(made / "db.sqlite3")
    contents["tallied"] = tally(made, contents)
    if order["source"]:
        sync_all(made)
    return contents


def tally(made: Path, contents: dict[str, Any]) -> bool:
    """Open the copy as a database of this version and score every contest in it; False where an older one made it."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
    from contest import settings

    settings.DATABASES["default"] = {  # the copy's alone, wherever the database in use lies
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": made / "db.sqlite3",
        "OPTIONS": {"transaction_mode": "IMMEDIATE", "init_command": "PRAGMA synchronous=OFF;"},
    }
    settings.DATA_FOLDER = made

    import django

    django.setup()
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    from contest.copies.files import CopyFailed
    from contest.models import Contest
    from contest.records.tallying import tallied

    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        return False
    for about in contents["contests"]:
        if about["in_bin"]:
            continue
        try:
            shown = tallied(Contest.objects.get(pk=about["pk"]))
        except Exception as problem:
            raise CopyFailed(
                _("contest {key} in the copy cannot be scored: {problem!r}").format(key=about["pk"], problem=problem)
            ) from problem
        about["contestants"] = len(shown.record.contestants)
    connection.close()
    return True


if __name__ == "__main__":
    main()
