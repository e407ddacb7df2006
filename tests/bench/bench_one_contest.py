"""What it costs that the database holds contests apart: `python -m tests.bench.bench_one_contest`.

A card read, and a contest of 1 500 contestants and 36 000 readings saved, with the triggers and without them, in turns.
On SQLite, in one process; times are the processor's.
"""

import statistics
import tempfile
from uuid import uuid4

from tests.bench.bench_history import milliseconds
from tests.bench.bench_trail import set_up

ROUNDS = 12
CARDS = 150
LOADINGS = 3


def main():
    with tempfile.TemporaryDirectory() as folder:
        set_up(folder)
        from contest.records import save_record
        from tests.bench.large_contest import large_record
        from tests.slips import read_card

        record = large_record(1500)
        contest = save_record(record, by="bench")
        judged, people = contest.classes.first(), list(contest.contestants.values_list("number", flat=True))

        def read():
            for number in people[:CARDS]:
                read_card(judged, number, "1234", "Ann", uuid4())

        compare("a card read", read, ROUNDS, CARDS)
        compare("1 500 contestants loaded", lambda: save_record(record, by="bench"), LOADINGS, 1)


def compare(what, work, rounds, times):
    from contest.models.one_contest import drop_triggers, make_triggers

    tied, bare = [], []
    for _ in range(rounds):
        tied.append(milliseconds(work) / times)
        drop_triggers("default")
        bare.append(milliseconds(work) / times)
        make_triggers("default", plan=[])
    with_them, without = statistics.median(tied), statistics.median(bare)
    print(f"{what}: {with_them:.3f} ms, {without:.3f} ms without the triggers; ratio {with_them / without:.3f}")


if __name__ == "__main__":
    main()
