"""Get a season's database back as it was at a moment: python -m tests.faults.recovery

A private PostgreSQL that keeps its log (continuous archiving) and a base copy of it, made before the day. Then cards
are read, somebody drops a table, and the database is brought back from the copy and the log to the moment before:
nothing that was acknowledged until then may be missing, and the trail must prove itself whole.
"""

from __future__ import annotations

import argparse
import os
import shutil
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path
from uuid import uuid4

import psycopg

from tests.postgres import made_by, private_folder, running, server_user

CONTESTANTS = 300


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--readings", type=int, default=2000)
    readings = parser.parse_args().readings
    with private_folder() as folder, private_folder() as other, tempfile.TemporaryDirectory() as data:
        log = folder / "archive"
        made_by("initdb", "-D", folder / "data", "-U", "tanbark", "--auth=trust", "-E", "UTF8", "--locale=C")
        log.mkdir()
        if as_user := server_user():
            shutil.chown(log, as_user)
        kept = ("archive_mode=on", f"archive_command=test ! -f {log}/%f && cp %p {log}/%f")
        with running(folder, kept) as url:
            set_up(url, data)
            moment, read, seconds = a_day(url, folder, other, readings)
        size = sum(file.stat().st_size for file in log.iterdir()) / 1e6
        print(f"{read} readings in {seconds:.0f} s, each in a transaction of its own; log of all of it {size:.0f} MB")
        base = sum(file.stat().st_size for file in (other / "data").rglob("*") if file.is_file()) / 1e6
        began = time.monotonic()
        with brought_back(other, log, moment) as url:
            print(f"base copy {base:.0f} MB and log brought back in {time.monotonic() - began:.1f} s")
            look(url, read)


def set_up(url: str, data: str) -> None:
    os.environ |= {"DATABASE_URL": url, "TANBARK_DATA": data, "DJANGO_SETTINGS_MODULE": "contest.settings"}
    import django

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)


def a_day(url: str, folder: Path, other: Path, readings: int) -> tuple[str, int, float]:
    """Copy the database, read cards, and lose a table. The moment before that, how many were read, and in what time."""
    from dataclasses import replace

    from django.db import connection

    from contest.records import save_record
    from contest.slips.known_cards import read_card
    from tests.bench.large_contest import large_record

    contest = save_record(replace(large_record(CONTESTANTS), cards=(), reasons=(), marks=()), by="a drill")
    made_by("pg_basebackup", "-h", folder, "-U", "tanbark", "-D", other / "data", "-c", "fast")
    cards = [
        (judged, number)
        for judged in contest.classes.values_list("number", flat=True)
        for number in contest.contestants.values_list("number", flat=True)
    ][:readings]
    began = time.monotonic()
    for judged, number in cards:
        read_card(contest, judged, number, "1234", "a drill", uuid4())
    seconds = time.monotonic() - began
    connection.close()
    with psycopg.connect(url, autocommit=True) as server:
        (moment,) = server.execute("SELECT clock_timestamp()").fetchone()
        time.sleep(1)
        server.execute("DROP TABLE contest_reading CASCADE")
        server.execute("SELECT pg_switch_wal()")
    return moment.isoformat(), len(cards), seconds


@contextmanager
def brought_back(folder: Path, log: Path, moment: str):
    """A server on the base copy that has followed the log until then."""
    (folder / "data" / "recovery.signal").touch()
    settings = (f"restore_command=cp {log}/%f %p", f"recovery_target_time={moment}", "recovery_target_action=promote")
    with running(folder, (*settings, "hot_standby=on")) as url, psycopg.connect(url, autocommit=True) as server:
        while server.execute("SELECT pg_is_in_recovery()").fetchone()[0]:
            time.sleep(0.1)
        yield url


def look(url: str, read: int) -> None:
    """Hold what came back against what was read, through Tanbark's own commands."""
    from django.core.management import call_command
    from django.db import connection

    connection.settings_dict["HOST"] = psycopg.conninfo.conninfo_to_dict(url)["host"]
    from contest.models import Reading

    found = Reading.objects.count()
    print(f"{found} readings are there: lost {read - found}")
    call_command("verify_trail")
    assert found == read


if __name__ == "__main__":
    main()
