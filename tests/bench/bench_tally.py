"""How fast a large contest is scored: `python -m tests.bench.bench_tally`, in the project's environment.

Every figure is a ratio to a floor measured in the same run. Times are the processor's, the best of several.
"""

import os
import subprocess
import sys
import tempfile
import time
from importlib import import_module

import numpy as np

from scoring.core.placing import PLACINGS
from scoring.core.record import Record
from scoring.core.tally import class_table, tally
from tests.bench.large_contest import large_record

CONTESTANTS = 1500
SIZES = (1500, 5000, 20_000)


def main():
    if sys.argv[1:2] == ["memory"]:
        print(peak_memory(int(sys.argv[2])))
        return
    pure()
    with tempfile.TemporaryDirectory() as folder:
        database(folder)
    memory()


def best(work, rounds=15, before=lambda: None):
    """Milliseconds of processor time, the best of several rounds; what comes `before` each is not counted."""
    times = []
    for _ in range(rounds):
        before()
        began = time.process_time()
        work()
        times.append(time.process_time() - began)
    return 1000 * min(times)


def report(what, time_taken, floor_name, floor, most=None):
    target = "" if most is None else f"; target at most {most}"
    print(f"{what}: {time_taken:.1f} ms; {floor_name}: {floor:.2f} ms; ratio {time_taken / floor:.2f}{target}")


def pure():
    record = large_record(CONTESTANTS)
    arrays = numpy_arrays(record)
    expected = sum(row.total for s in tally(record).standings if s.code == "overall" for row in s.individuals)
    assert float(expected) == numpy_pass(*arrays).sum()
    report("Tally", best(lambda: tally(record)), "one NumPy pass", best(lambda: numpy_pass(*arrays)))


def numpy_arrays(record: Record):
    """The contest as arrays: what each placing scores in each class, cards as positions in PLACINGS, reasons, marks."""
    row_of = {contestant.number: row for row, contestant in enumerate(record.contestants)}
    tables = np.array([[class_table(judged, record.rules)[p] for p in PLACINGS] for judged in record.classes])
    position = {placing: place for place, placing in enumerate(PLACINGS)}
    cards = np.zeros((len(row_of), len(record.classes)), dtype=int)
    for card in record.cards:
        cards[row_of[card.number], card.class_number - 1] = position[card.placing]
    officials = {name: place for place, name in enumerate(sorted({given.official for given in record.reasons}))}
    reasons = np.zeros((len(row_of), len({given.class_number for given in record.reasons}), len(officials)))
    for given in record.reasons:
        reasons[row_of[given.number], given.class_number - 1, officials[given.official]] = given.hundredths / 100
    marks = np.zeros(len(row_of))
    for mark in record.marks:
        marks[row_of[mark.number]] = mark.hundredths / 100
    return tables, cards, reasons, marks


def numpy_pass(tables, cards, reasons, marks):
    """Every contestant's overall total: class scores looked up, reasons' means, and sums."""
    scores = tables[np.arange(tables.shape[0]), cards]
    return scores.sum(axis=1) + reasons.mean(axis=2).sum(axis=1) + marks


def database(folder):
    os.environ["TANBARK_DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "contest.settings"
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command
    from django.db import connection
    from django.test import Client

    from contest import data_folder
    from contest.keys import hand_in_key
    from contest.models import JudgingClass
    from contest.records import load_record, save_record, tallying
    from contest.serving.static import collect_static
    from tests.accounts import an_account

    import_module("contest.wsgi")  # leaves the garbage collector as it is in the server
    data_folder.prepare(settings.DATA_FOLDER)
    call_command("migrate", verbosity=0)
    collect_static()
    contest = save_record(large_record(CONTESTANTS), by="bench")

    connection.force_debug_cursor = True
    load_record(contest.pk)
    queries = [query["sql"] for query in connection.queries]
    connection.force_debug_cursor = False

    def bare():
        for query in queries:
            with connection.cursor() as cursor:
                cursor.execute(query)
                cursor.fetchall()

    scored = best(lambda: tally(load_record(contest.pk)[1]))
    report("Scored from the database", scored, f"its {len(queries)} bare queries", best(bare), most=3)

    client = Client()
    client.force_login(an_account())
    page = f"/contests/{contest.pk}/standings/JR/overall/"
    assert client.get(page).status_code == 200
    viewed = best(lambda: client.get(page))
    judged = JudgingClass.objects.get(contest=contest, number=1)
    cuts = iter(range(1, 1000))

    def change():
        hand_in_key(judged, "1234", (next(cuts), 2, 2), by="bench", reason="bench")
        contest.refresh_from_db()

    rescored = best(lambda: tallying.tallied(contest), before=change)
    rows = CONTESTANTS // 3
    report("All re-scored for a changed key", rescored, f"a view of a {rows}-row list", viewed, most=2)


def memory():
    """Peak memory of a contest and its tally, in a process of its own."""
    peaks = [int(subprocess.check_output([sys.executable, "-m", __spec__.name, "memory", str(n)])) for n in SIZES]
    for contestants, peak in zip(SIZES, peaks, strict=True):
        print(f"{contestants} contestants: {peak / 2**20:.0f} MB, {peak / contestants / 1024:.1f} KB each")


def peak_memory(contestants):
    import tracemalloc

    tracemalloc.start()
    record = large_record(contestants)
    result = tally(record)
    assert record.cards
    assert result.standings
    return tracemalloc.get_traced_memory()[1]


if __name__ == "__main__":
    main()
