"""What it costs to keep what every row was: `python -m tests.bench.bench_history`.

A card read with the triggers and without them, in turns; the contest as it was at its first revision, after CARDS cards
were read since, against loading it as it is; and everybody scratched at once and taken back. On SQLite, in one process;
times are the processor's.
"""

import statistics
import tempfile
import time
from uuid import uuid4

from tests.bench.bench_trail import set_up

ROUNDS = 6
CARDS = 150


def main():
    with tempfile.TemporaryDirectory() as folder:
        set_up(folder)
        from contest.records import save_record
        from tests.bench.large_contest import large_record

        contest = save_record(large_record(1500), by="bench")
        reading(contest)
        looking_back(contest)
        taking_back(contest)


def reading(contest):
    from contest.row_changes.triggers import drop_triggers, make_triggers
    from tests.slips import read_card

    judged, people = contest.classes.first(), list(contest.contestants.values_list("number", flat=True))

    def read():
        for number in people[:CARDS]:
            read_card(judged, number, "1234", "Ann", uuid4())

    kept, bare = [], []
    for _ in range(ROUNDS):
        kept.append(milliseconds(read) / CARDS)
        drop_triggers("default")
        bare.append(milliseconds(read) / CARDS)
        make_triggers("default", plan=[])
    with_them, without = statistics.median(kept), statistics.median(bare)
    print(
        f"a card read: {with_them:.3f} ms with what its rows were kept, {without:.3f} ms without; "
        f"{1000 * (with_them - without):.0f} microseconds more, ratio {with_them / without:.2f}"
    )


def looking_back(contest):
    from contest.history.past import as_of
    from contest.models import RowChange
    from contest.records import load_record

    changes = RowChange.objects.filter(contest=contest).count()
    then = statistics.median(milliseconds(lambda: as_of(contest.pk, 1)) for _ in range(5))
    now = statistics.median(milliseconds(lambda: load_record(contest.pk)) for _ in range(5))
    print(f"as it was {changes} rows ago: {then:.0f} ms; as it is: {now:.0f} ms; ratio {then / now:.1f}")


def taking_back(contest):
    from contest.entries.arrivals import missing, scratch_missing
    from contest.history.taking_back import can_be_taken_back, newest_first, take_back_change

    count = missing(contest).count()
    scratched = milliseconds(lambda: scratch_missing(contest, count, "Ann"))
    entry = contest.trail.last()
    asked = milliseconds(lambda: can_be_taken_back(entry))
    taken = milliseconds(lambda: take_back_change(entry, "Ann"))
    page = milliseconds(lambda: newest_first(contest, 20))
    print(f"{count} scratched: {scratched:.0f} ms; may it be taken back: {asked:.0f} ms; taken back: {taken:.0f} ms")
    print(f"the list of what can be taken back: {page:.0f} ms (target of a page 200 ms)")


def milliseconds(work):
    began = time.process_time()
    work()
    return 1000 * (time.process_time() - began)


if __name__ == "__main__":
    main()
