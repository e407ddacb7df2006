"""What connections that stall cost: python -m tests.bench.bench_stalls

Puts to the real server twelve helpers who post readings at people's pace and somebody who asks /healthz on a connection
of its own each time, with and without 200 connections that send a byte a second of what they announced, and 200 that
fetch a byte a second of what they asked for: a file of 20 MB, or a script 150 times over. They come all at once, which
is work like any other for some moments: what /healthz takes meanwhile is told by itself.

Targets: p95 of /healthz below 0.5 s; p95 of a reading at most 1.5 times that without.
"""

import argparse
import asyncio
import os
import random
import time
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import partial

from tests.bench.hall import CONTESTANTS, HELPERS, PACE, Browser, Hall, cpu_seconds, p
from tests.stalling import HALF_REQUESTS, drip, slow_reader, slow_sender, stalled

FILE = 20_000_000  # bytes
ASK_EVERY = 0.1  # seconds
ROUNDS = 3
COMING = 3.0  # seconds until all of them stall
PIPELINED = 150


@dataclass
class Span:
    readings: list[float] = field(default_factory=list)
    healthz: list[float] = field(default_factory=list)
    coming: list[float] = field(default_factory=list)
    cpu: float = 0.0
    seconds: float = 0.0
    alive: list[int] = field(default_factory=list)


class StalledHall(Hall):
    """A hall with people in it who mean no good."""

    def __init__(self, senders: int, readers: int):
        super().__init__(viewers=0)
        self.sender_count, self.reader_count = senders, readers

    def _make_contest(self) -> None:
        super()._make_contest()
        from scoring.models import PrintJob
        from scoring.prints.folders import private
        from scoring.prints.jobs import file_of

        job = PrintJob.objects.create(
            contest=self.contest, document="results", revision=self.contest.revision, by="bench", state="done"
        )
        private(self.folder, "prints")
        file_of(job).write_bytes(os.urandom(FILE))
        self.file = f"/contests/{self.contest.pk}/prints/files/{job.pk}/"
        self.cookies = self.sign_in().cookies

    def senders(self):
        return stalled([partial(slow_sender, self.port, half) for half in HALF_REQUESTS], self.sender_count)

    def fetchers(self):
        script = "/static/django_htmx/htmx-2.min.js"
        makers = [
            partial(slow_reader, self.port, self.file, self.cookies),
            partial(slow_reader, self.port, script, times=PIPELINED),
        ]
        return stalled(makers, self.reader_count)


async def ask_healthz(port: int, until: float) -> list[float]:
    times = []
    while time.monotonic() < until:
        browser = Browser(port)
        began = time.monotonic()
        answer = await browser.ask("/healthz")
        times.append(time.monotonic() - began)
        if answer.status != 200:
            raise RuntimeError(f"/healthz was answered {answer.status}")
        browser.close()
        await asyncio.sleep(ASK_EVERY)
    return times


async def drip_on(senders, fetchers, until: float) -> int:
    """A byte a second on each; gives back how many connections the server still keeps."""
    while True:
        alive = sum(drip(sender, sends=True) for sender in senders)
        alive += sum(drip(fetcher, sends=False) for fetcher in fetchers)
        if time.monotonic() + 1 > until:
            return alive
        await asyncio.sleep(1)


async def run(hall: StalledHall, span: Span, seconds: float, with_stalls: bool) -> None:
    for reader in hall.readers:
        reader.times.clear()
    with ExitStack() as stack:
        senders = stack.enter_context(hall.senders()) if with_stalls else []
        fetchers = stack.enter_context(hall.fetchers()) if with_stalls else []
        if with_stalls:
            span.coming += await ask_healthz(hall.port, time.monotonic() + COMING)
        before, began = cpu_seconds(hall.server.pid), time.monotonic()
        until = began + seconds
        healthz, alive, *_ = await asyncio.gather(
            ask_healthz(hall.port, until),
            drip_on(senders, fetchers, until),
            *(reader.read_on(until, PACE) for reader in hall.readers),
        )
    span.readings += [moment for reader in hall.readers for moment in reader.times]
    span.healthz += healthz
    span.alive.append(alive)
    span.seconds += time.monotonic() - began
    span.cpu += cpu_seconds(hall.server.pid) - before


async def measure(hall: StalledHall, seconds: float) -> None:
    await run(hall, Span(), 3, with_stalls=False)  # warms everything up
    without, beside = Span(), Span()
    for _ in range(ROUNDS):  # turn and turn about, so that whatever else the machine does troubles both alike
        await run(hall, without, seconds / ROUNDS, with_stalls=False)
        await run(hall, beside, seconds / ROUNDS, with_stalls=True)
    for name, span in (("without stalls", without), ("with stalls", beside)):
        for what, times in (("/healthz", span.healthz), ("a reading", span.readings)):
            figures = ", ".join(f"p{part} {p(times, part / 100):.1f} ms" for part in (50, 95, 99))
            print(f"{name:<15} {what:<10} {figures}; {len(times)} asked")
        print(f"{name:<15} server at {span.cpu / span.seconds * 100:.0f} % of a core")
    asked = hall.sender_count + hall.reader_count
    print(f"of {asked} stalling connections the server still kept {beside.alive} in the end of each round")
    print(f"/healthz while they come: worst {max(beside.coming) * 1000:.0f} ms")
    print(f"/healthz p95 {p(beside.healthz, 0.95):.1f} ms  (target: below 500)")
    print(f"a reading's p95 ratio {p(beside.readings, 0.95) / p(without.readings, 0.95):.2f}  (target: at most 1.50)")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--senders", type=int, default=200)
    parser.add_argument("--readers", type=int, default=200)
    parser.add_argument("--seconds", type=float, default=30)
    options = parser.parse_args()
    random.seed(1)
    hall = StalledHall(options.senders, options.readers)
    try:
        hall.open()
        print(
            f"{options.senders} slow senders, {options.readers} slow readers, {HELPERS} helpers, "
            f"{CONTESTANTS} contestants, load {os.getloadavg()[0]:.1f}"
        )
        asyncio.run(measure(hall, options.seconds))
    finally:
        hall.close()


if __name__ == "__main__":
    main()
