"""What a reading costs where a season lies in the tables: python -m tests.bench.bench_full_tables

A private PostgreSQL that waits for the disk, with a contest of 120 whose cards are read, and then the same with as many
contests beside it as a country has on one Saturday, each with its people, classes, readings and trail, copied by SQL.
The floor is the same readings with the contest alone. Says whether the tables want partitions.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from typing import Any
from uuid import uuid4

import psycopg

CONTESTANTS = 120
ROUND = 100  # readings that are timed
APART = 10**7  # between the keys of two contests
CONTESTS_AT_ONCE = 50


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--contests", type=int, default=3000)
    contests = parser.parse_args().contests
    from tests.postgres import PLAIN, USER, private_server

    with private_server(durable=True) as url, tempfile.TemporaryDirectory() as data:
        os.environ |= {"DATABASE_URL": url, "TANBARK_DATA": data, "DJANGO_SETTINGS_MODULE": "contest.settings"}
        import django

        django.setup()
        from django.core.management import call_command

        call_command("migrate", verbosity=0)
        contest, cards = a_contest()
        read(contest, cards[: -3 * ROUND])
        alone = [timed(contest, cards[-3 * ROUND : -2 * ROUND])]
        with psycopg.connect(url.replace(f"//{PLAIN}@", f"//{USER}@"), autocommit=True) as server:
            began = time.monotonic()
            fill(server, contests)
            print(f"{contests} contests beside it in {time.monotonic() - began:.0f} s: {sizes(server)}")
        full = [timed(contest, part) for part in (cards[-2 * ROUND : -ROUND], cards[-ROUND:])]
        for name, times in (("alone", alone), ("full", full)):
            told = ", ".join(f"p50 {p50:.1f} ms p95 {p95:.1f} ms" for p50, p95 in times)
            print(f"{name:<6}{told}")
        print(f"ratio of the medians {full[-1][0] / alone[0][0]:.2f}")


def a_contest() -> tuple[Any, list[tuple[int, int]]]:
    from dataclasses import replace

    from contest.records import save_record
    from tests.bench.large_contest import large_record

    contest = save_record(replace(large_record(CONTESTANTS), cards=(), reasons=(), marks=()), by="bench")
    classes = list(contest.classes.values_list("number", flat=True))
    people = list(contest.contestants.values_list("number", flat=True))
    return contest, [(judged, number) for judged in classes for number in people]


def read(contest: Any, cards: list[tuple[int, int]]) -> list[float]:
    """Seconds of each reading."""
    from contest.slips.known_cards import read_card

    took = []
    for judged, number in cards:
        began = time.perf_counter()
        read_card(contest, judged, number, "1234", "bench", uuid4())
        took.append(time.perf_counter() - began)
    return took


def timed(contest: Any, cards: list[tuple[int, int]]) -> tuple[float, float]:
    """The median and the 95th of 100, in milliseconds."""
    took = [seconds * 1000 for seconds in read(contest, cards)]
    return statistics.median(took), statistics.quantiles(took, n=20)[-1]


def fill(server: psycopg.Connection[Any], contests: int) -> None:
    """The rows of the first contest again and again, each contest's keys further on; nothing is checked meanwhile."""
    from contest import models

    kinds = [
        models.Contest,
        models.Division,
        models.JudgingClass,
        models.ClassDivision,
        models.Contestant,
        models.Reading,
        models.TrailEntry,
    ]
    server.execute("SET session_replication_role = replica")
    for first in range(1, contests + 1, CONTESTS_AT_ONCE):
        last = min(first + CONTESTS_AT_ONCE - 1, contests)
        for kind in kinds:
            table, columns, values = kind._meta.db_table, [], []
            for field in kind._meta.local_concrete_fields:
                columns.append(f'"{field.column}"')
                moved = field.primary_key or (field.remote_field and field.related_model in kinds)
                is_key = field.get_internal_type() == "UUIDField"
                values.append(
                    f'"{field.column}" + copy::bigint * {APART}'
                    if moved
                    else "gen_random_uuid()"
                    if is_key
                    else columns[-1]
                )
            server.execute(
                f"INSERT INTO {table} ({', '.join(columns)}) SELECT {', '.join(values)} "
                f"FROM {table}, generate_series({first}, {last}) AS copy WHERE id < {APART}"
            )
    server.execute("RESET session_replication_role")
    server.execute("VACUUM ANALYZE")


def sizes(server: psycopg.Connection[Any]) -> str:
    told = []
    for table in ("contest_reading", "contest_trailentry"):
        rows, bytes_, indexes = server.execute(
            f"SELECT count(*), pg_table_size('{table}'), pg_indexes_size('{table}') FROM {table}"
        ).fetchone()
        told.append(f"{table} {rows / 1e6:.1f} million rows, {bytes_ / 1e6:.0f} MB and {indexes / 1e6:.0f} of indexes")
    return "; ".join(told)


if __name__ == "__main__":
    main()
