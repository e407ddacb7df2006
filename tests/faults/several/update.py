"""One process after another replaced by a newer version, whose tables the older bears."""

from __future__ import annotations

import time
from pathlib import Path

from django.db import connection

from contest.changes.held import Held, held_by_others
from tests.faults.several.site import Site

DRAIN = 4.0
"""Seconds for which a `serve` that is told to stop serves on; a proxy has noticed after NOTICED."""
NOTICED = 1.5


def update(site: Site, newer: Path, pause: float) -> None:
    """First those that serve, one of which brings the tables up to date, then those that work."""
    for process in site.processes:
        time.sleep(pause)
        process.process.terminate()
        if process in site.servers:
            time.sleep(NOTICED)
            site.send_elsewhere(process)
        process.process.wait(120)
        process.code = newer
        process.start()
        site.wait_until_ready([process])
        site.send_back()
        site.counts.troubles[f"{process.name} replaced by a newer version"] += 1
    time.sleep(pause)
    versions = {holder.number for holder in held_by_others(connection, Held.CODE)}
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM contest_reading WHERE heard <> ''")  # a column of the newer version
    assert len(versions) == 1, f"not all are of the newer version: {versions}"
