"""Copies of a database server's own: pg_dump writes them, where it is installed."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

from django.db import connection
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.copies.files import CopyFailed

DUMP = "database.dump"
NO_TOOL = gettext_noop(
    "no copies are made: the database is a server's, and pg_dump is not installed on this machine. "
    "Install PostgreSQL's client programs, or have the server's own backups made"
)


def can_dump() -> bool:
    return bool(shutil.which("pg_dump") and shutil.which("pg_restore"))


def dump(made: Path) -> dict[str, Any]:
    """Dump the database into the folder, and have what was written listed again. Raises CopyFailed."""
    from contest.models import Contest, own_id

    if not can_dump():
        raise CopyFailed(_(NO_TOOL))
    path = made / DUMP
    settings = connection.settings_dict
    named = {
        "PGHOST": settings["HOST"],
        "PGPORT": str(settings["PORT"]),
        "PGUSER": settings["USER"],
        "PGPASSWORD": settings["PASSWORD"],
        "PGDATABASE": settings["NAME"],
    }
    settings_given = {name: value for name, value in named.items() if value}
    # Without it a role that policies hold for is refused: it might not see every row, as under no name it does.
    all_rows = "--enable-row-security"
    _run(["pg_dump", "--format=custom", "--no-password", all_rows, f"--file={path}"], settings_given)
    if "TABLE DATA" not in _run(["pg_restore", "--list", str(path)], settings_given):
        raise CopyFailed(_("pg_dump wrote a file without tables"))
    path.chmod(0o600)
    contests = [
        {
            "pk": contest.pk,
            "name": contest.name,
            "revision": contest.revision,
            "head": contest.trail_head,
            "contestants": contest.contestants.count(),
            "in_bin": contest.deleted_at is not None,
        }
        for contest in Contest.every.filter(loading_at=None).order_by("pk")
    ]
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return {
        "contests": contests,
        "database": str(own_id()),
        "size": path.stat().st_size,
        "digest": digest,
        "tallied": False,  # that would take a server of its own
    }


def _run(command: list[str], environment: dict[str, str]) -> str:
    done = subprocess.run(
        command, env={**os.environ, **environment}, capture_output=True, encoding="utf-8", errors="replace"
    )
    if done.returncode:
        raise CopyFailed(f"{command[0]}: {done.stderr.strip()[:300]}")
    return done.stdout
