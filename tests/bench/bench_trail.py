"""What the trail costs: `python -m tests.bench.bench_trail`.

One change written down, against the bare insert of such a row in a transaction of its own; proving 40 000 entries,
against fetching their rows and nothing else; and the pages of the trail, with and without a choice, against the target
of every page (the processor's time). Each figure is the median of a few rounds in one process.
"""

import argparse
import os
import statistics
import tempfile
import time
from datetime import UTC, datetime, timedelta
from functools import partial

ROUNDS = 5
CHANGES = 500
TARGET_MS = 200
CHUNK = 2000
START = datetime(2026, 10, 17, 9, tzinfo=UTC)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--entries", type=int, default=40_000)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        set_up(folder)
        from contest.models import Contest
        from contest.records import save_record
        from tests.bench.large_contest import large_record

        contest = save_record(large_record(1500), by="bench")
        recording(contest)
        fill(Contest.objects.get(pk=contest.pk), options.entries)
        proving(contest)
        pages(contest)


def set_up(folder):
    os.environ |= {"TANBARK_DATA": folder, "DJANGO_SETTINGS_MODULE": "contest.settings"}
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command

    from contest import data_folder
    from contest.serving.static import collect_static

    data_folder.prepare(settings.DATA_FOLDER)
    call_command("migrate", verbosity=0)
    collect_static()


def recording(contest):
    """One change a transaction, as a card is read, and a bare insert a transaction."""
    from django.db import connection

    from contest.changes import one_change, take_turn
    from contest.models import Touches
    from contest.trail import record_change, sentence

    def change(number):
        with one_change():
            turn = take_turn(contest.pk)
            what = sentence("card_read", judged=1, contestant=number)
            record_change(contest, "Ann", what, after="3124", touches=Touches.CARDS, turn=turn)

    def bare(number):
        with one_change(), connection.cursor() as cursor:
            cursor.execute(
                "INSERT INTO bare (at, what) VALUES (%s, %s)", [number, "class 1, contestant 101: card read"]
            )

    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE bare (id INTEGER PRIMARY KEY, at INTEGER, what TEXT)")
    took = {work: statistics.median(timed(work, CHANGES) for _ in range(ROUNDS)) for work in (bare, change)}
    ratio = took[change] / took[bare]
    print(f"a change written down: {took[change]:.2f} ms; bare insert {took[bare]:.2f} ms; ratio {ratio:.1f}")


def timed(work, count, clock=time.perf_counter):
    """Milliseconds for one."""
    began = clock()
    for number in range(count):
        work(number)
    return (clock() - began) * 1000 / count


def fill(contest, count):
    """Lengthen the chain to that many entries, as readings would."""
    from contest.models import Contest, TrailEntry
    from contest.trail import sentence
    from contest.trail.hashing import Content
    from contest.trail.names import token_for
    from contest.trail.subjects import subjects

    head, rows = contest.trail_head, []
    for revision in range(contest.revision + 1, count + 1):
        what = sentence("card_read", judged=revision % 12 + 1, contestant=revision % 1500 + 101)
        by, at = token_for(contest.pk, f"Helper {revision % 12}"), START + timedelta(seconds=revision)
        content = Content(
            contest.pk, revision, at, by, what.code, what.plain(), None, "3124", "cards", subjects(what), ""
        )
        head = content.hash_after(head)
        rows.append(TrailEntry(**content.columns(), hash=head))
        if len(rows) == CHUNK or revision == count:
            TrailEntry.objects.bulk_create(rows)
            rows = []
    Contest.objects.filter(pk=contest.pk).update(revision=count, trail_head=head)


def proving(contest):
    from contest.models import TrailEntry
    from contest.trail.hashing import COLUMNS
    from contest.trail.proving import prove

    def fetch(_):
        rows = TrailEntry.objects.filter(contest=contest).order_by("revision")
        for _row in rows.values_list("pk", "hash", *COLUMNS).iterator(CHUNK):
            pass

    def whole(_):
        proof = prove(contest)
        assert not proof.problems, proof.problems[:3]

    took = {work: statistics.median(timed(work, 1) for _ in range(ROUNDS)) for work in (fetch, whole)}
    entries = contest.trail.count()
    text = f"{entries:,} entries proved: {took[whole] / 1000:.2f} s; their rows alone {took[fetch] / 1000:.2f} s"
    print(f"{text}; ratio {took[whole] / took[fetch]:.1f}")


def ask(client, address, _number):
    assert client.get(address).status_code == 200


def pages(contest):
    from django.test import Client

    from tests.accounts import an_account

    client = Client(headers={"host": "localhost"})
    client.force_login(an_account())
    at = f"/contests/{contest.pk}/trail/"
    asked = {
        "the trail": at,
        "its last page": f"{at}?page=9999",
        "of one contestant": f"{at}?contestant=101",
        "of one class and one person": f"{at}?judged=3&person=Helper+2",
        "by words that nothing has": f"{at}?words=nothing",
        "one entry": f"{at}1/",
    }
    for name, address in asked.items():
        client.get(address)
        times = [timed(partial(ask, client, address), 1, time.process_time) for _ in range(ROUNDS)]
        size = len(client.get(address).content) / 1000
        print(f"{name}: {statistics.median(times):.0f} ms (target {TARGET_MS}), {size:.0f} kB")


if __name__ == "__main__":
    main()
