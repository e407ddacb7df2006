"""What an import costs those who read cards: python -m tests.bench.bench_uploads

Puts to the real server twelve helpers who post readings at people's pace, with and without a superintendent who brings
in the book of a large contest; then measures in this process how long an import and an entry list hold the write turn.

Targets: p95 of a reading beside the import at most twice that without; no hold of the turn longer than 0.2 s.
"""

import argparse
import asyncio
import os
import random
import tempfile
import threading
import time
from dataclasses import replace
from pathlib import Path
from unittest import mock
from uuid import uuid4

from tests.bench.hall import HELPERS, PACE, Browser, Hall, p

CLASSES = 10
BOUNDARY = "a-book"
LONGEST = 0.2  # seconds


def a_book(contestants: int):
    """So many contestants x 10 classes x 2 readings of each card, as a record."""
    from tests.bench.large_contest import large_record

    record = large_record(contestants)
    return replace(
        record,
        classes=record.classes[:CLASSES],
        cards=tuple(card for card in record.cards if card.class_number <= CLASSES),
        reasons=(),
        marks=(),
    )


def packed(record) -> bytes:
    from contest.book import write_book

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "book.zip"
        write_book(record, path)
        return path.read_bytes()


def form(book: bytes, key) -> bytes:
    """What a browser sends with the book chosen."""
    fields = {"way": b"book", "submission": str(key).encode(), 'book-book"; filename="book.zip': book}
    parts = (
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'.encode() + value + b"\r\n"
        for name, value in fields.items()
    )
    return b"".join(parts) + f"--{BOUNDARY}--\r\n".encode()


async def bring(hall: Hall, browser: Browser, book: bytes) -> float:
    """Bring the book in and look how far it is until it is there; the seconds that takes."""
    key, began = uuid4(), time.monotonic()
    answer = await browser.ask("/contests/new/", form(book, key), f"multipart/form-data; boundary={BOUNDARY}")
    if answer.status != 302:
        raise RuntimeError(f"the book was answered {answer.status}: {answer.body[-2000:]!r}")
    while (answer := await browser.ask(f"/uploads/{key}/?v=none")).status == 200:
        if b"data-poll" not in answer.body:
            raise RuntimeError(f"the book was refused: {answer.body!r}")
        await asyncio.sleep(0.75)
    return time.monotonic() - began


async def read(hall: Hall, seconds: float) -> list[float]:
    return await reading(hall, asyncio.sleep(seconds))


async def reading(hall: Hall, meanwhile) -> list[float]:
    """The times of all readings while something else happens."""
    for reader in hall.readers:
        reader.times.clear()
    work = [asyncio.create_task(reader.read_on(float("inf"), PACE)) for reader in hall.readers]
    try:
        await meanwhile
    finally:
        for one in work:
            one.cancel()
        await asyncio.gather(*work, return_exceptions=True)
    for reader in hall.readers:
        reader.browser.close()
        reader.browser.writer = None
    return [moment for reader in hall.readers for moment in reader.times]


async def compare(hall: Hall, browser: Browser, book: bytes, seconds: float, rounds: int):
    """Turn and turn about, so that whatever else the machine does troubles both alike."""
    alone, beside, imports = [], [], []
    await read(hall, 3)  # warms everything up

    async def one_import():
        imports.append(await bring(hall, browser, book))

    for _ in range(rounds):
        alone += await read(hall, seconds)
        beside += await reading(hall, one_import())
    return alone, beside, imports


class Turn:
    """The write turn, which notes how long it is held."""

    def __init__(self):
        self.lock = threading.RLock()
        self.depth = 0
        self.holds = []

    def __enter__(self):
        self.lock.acquire()
        self.depth += 1
        if self.depth == 1:
            self.began = time.perf_counter()

    def __exit__(self, *_):
        self.depth -= 1
        if self.depth == 0:
            self.holds.append(time.perf_counter() - self.began)
        self.lock.release()


def holds_of(work) -> list[float]:
    turn = Turn()
    with mock.patch("contest.changes._turn", turn):
        work()
    return turn.holds


def tell_hold(what: str, holds: list[float]) -> None:
    print(f"{what:<44}longest hold {max(holds) * 1000:.0f} ms of {len(holds)}  (target: at most {LONGEST * 1000:.0f})")


def measure_holds(record, contestants: int) -> None:
    from contest.entries.assigning import digest
    from contest.entries.entry_list import load_entries, plan_ahead
    from contest.entries.matching import guess
    from contest.entries.plan import Layout
    from contest.history.taking_back import take_back_change
    from contest.models import Contest
    from contest.privacy.anonymising import anonymise
    from contest.records import save_in_pieces, save_record, sweep_abandoned
    from contest.records.saving import save_hidden
    from contest.uploads.spreadsheets import lines_of

    tell_hold("the import", holds_of(lambda: save_in_pieces(record, "bench")))
    hidden = save_hidden(replace(record, cards=record.cards[:2000]), "bench")
    Contest.every.filter(pk=hidden.pk).update(loading_at="2000-01-01T00:00Z")
    tell_hold("sweeping away what was cut off", holds_of(sweep_abandoned))
    contest = save_record(replace(record, contestants=(), cards=()), "bench")

    def load(heading: str, cells) -> list[float]:
        text = "\n".join([heading, *(cells(number) for number in range(1, contestants + 1))])
        lines = lines_of(text)
        guessed = guess([line.cells for line in lines])
        layout = Layout(guessed.headings, guessed.columns)
        made = plan_ahead(contest, lines, layout)
        return holds_of(lambda: load_entries(contest, lines, layout, "bench", digest(made.plan), made))

    heading = "number,first name,last name,team,division"
    rows = f"an entry list of {contestants:,} rows"
    # Everybody has a name of their own: each is a row beside the trail.
    tell_hold(f"{rows}, all new", load(heading, lambda at: f"{at},Ann {at},Bell {at},Team {at // 4},JR"))
    tell_hold(f"{rows}, all changed", load(heading, lambda at: f"{at},Ann {at},Hill {at},Club {at // 4},SR"))
    last = contest.trail.order_by("-revision").first()
    tell_hold(f"{rows}, none changed", load(heading, lambda at: f"{at},Ann {at},Hill {at},Club {at // 4},SR"))
    tell_hold("taking the changes back", holds_of(lambda: take_back_change(last, "bench")))
    over, ahead = a_contest_that_is_over(record)
    tell_hold("making a released contest anonymous", holds_of(lambda: anonymise(over, "bench", ahead)))


def a_contest_that_is_over(record):
    """Read by twelve helpers, everybody checked in one by one, released; and what is worked out before the turn."""
    from django.db.models import F, Value
    from django.db.models.functions import Concat, Mod

    from contest.entries.arrivals import check_in
    from contest.models import Contest, Reading
    from contest.privacy.anonymising import work_ahead
    from contest.records import save_in_pieces
    from contest.records.tallying import tallied
    from contest.row_changes.stamping import unrecorded
    from scoring.results.checklist import checklist
    from scoring.results.release import release_results

    contest = save_in_pieces(record, "bench")
    with unrecorded():
        Reading.objects.filter(judging_class__in=contest.classes.all()).update(
            by=Concat(Value("Helper "), Mod(F("id"), HELPERS), output_field=Reading._meta.get_field("by"))
        )
    for person in contest.contestants.all():
        check_in(person, "bench")
    contest = Contest.objects.get(pk=contest.pk)
    release_results(contest, "bench", {item.key: "bench" for item in checklist(contest, tallied(contest))})
    return contest, work_ahead(contest)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--contestants", type=int, default=1500)
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--rounds", type=int, default=2)
    options = parser.parse_args()
    random.seed(1)
    hall = Hall(viewers=0)
    try:
        hall.open()
        record = a_book(options.contestants)
        print(f"{HELPERS} helpers, a card in {PACE:g} s each, load {os.getloadavg()[0]:.1f}")
        alone, beside, imports = asyncio.run(
            compare(hall, hall.sign_in(), packed(record), options.seconds, options.rounds)
        )
        for what, times in (("alone", alone), ("beside the import", beside)):
            figures = ", ".join(f"p{part} {p(times, part / 100):.1f} ms" for part in (50, 95, 99))
            print(f"{what:<20}{figures}, longest {max(times) * 1000:.0f} ms; {len(times)} readings")
        took = ", ".join(f"{seconds:.0f}" for seconds in imports)
        print(f"{options.contestants:,} contestants x {CLASSES} classes x 2 readings came in in {took} s")
        print(f"p95 ratio {p(beside, 0.95) / p(alone, 0.95):.2f}  (target: at most 2)")
        measure_holds(record, options.contestants)
    finally:
        hall.close()


if __name__ == "__main__":
    main()
