"""What a hall full of viewers costs: python -m tests.bench.bench_viewers

Puts to the real server helpers who post readings, with and without viewers, a few of them screens and the rest phones,
which ask as often as the board's page does; then a ceremony that all viewers watch.

Targets: p95 of a reading with viewers at most 1.3 times that without; p95 from a reveal to a board below 1.5 s.
"""

import argparse
import asyncio
import os
import random
import time
from dataclasses import dataclass, field, fields
from uuid import uuid4

from tests.bench.hall import (
    ALL_ASK_EVERY,
    CONTESTANTS,
    HELPERS,
    PACE,
    PHONE_ASKS_EVERY,
    REVEALS,
    Hall,
    cpu_seconds,
    p,
)

ROUNDS = 4


@dataclass
class Span:
    """What one stretch of time measured, or several of the same kind."""

    readings: list[float] = field(default_factory=list)
    cpu: float = 0.0
    seconds: float = 0.0
    polls: int = 0
    changes: int = 0
    size: int = 0

    def __add__(self, other: "Span") -> "Span":
        return Span(*(getattr(self, part.name) + getattr(other, part.name) for part in fields(self)))


async def run(hall: Hall, seconds: float, pace: float | None, viewers: bool) -> Span:
    """Helpers at a pace, if any, for a while, with the hall's viewers or without."""
    for reader in hall.readers:
        reader.times.clear()
    for viewer in hall.viewers:
        viewer.polls = viewer.size = viewer.changes = 0
    before, began = cpu_seconds(hall.server.pid), time.monotonic()
    until = began + seconds
    work = [reader.read_on(until, pace) for reader in hall.readers] if pace is not None else []
    work += [viewer.look_on(until) for viewer in hall.viewers] if viewers else []
    await asyncio.gather(*work)
    times = [moment for reader in hall.readers for moment in reader.times]
    return Span(
        times,
        cpu_seconds(hall.server.pid) - before,
        time.monotonic() - began,
        sum(viewer.polls for viewer in hall.viewers),
        sum(viewer.changes for viewer in hall.viewers),
        sum(viewer.size for viewer in hall.viewers),
    )


async def compare(hall: Hall, seconds: float, pace: float) -> tuple[Span, Span]:
    """Without and with viewers, turn and turn about and each first as often, so that whatever else the machine does
    troubles both alike. The first round only warms up: nothing has been tallied then, and each board is new."""
    spans = {False: Span(), True: Span()}
    for turn in range(ROUNDS + 1):
        for viewers in (False, True) if turn % 2 else (True, False):
            span = await run(hall, seconds / ROUNDS, pace, viewers)
            if turn:
                spans[viewers] += span
    return spans[False], spans[True]


async def first_copy(hall: Hall) -> None:
    """Wait until `up` has made and tried its first copy: it takes seconds, and would fall into the floor."""
    from contest.copies.places import default_shelf
    from contest.copies.shelf import copies_in

    for _ in range(60):
        if copies_in(default_shelf()):
            break
        await asyncio.sleep(1)


async def ceremony(hall: Hall) -> list[float]:
    """Reveals every row while all viewers look on; seconds from each press to each board."""
    await run(hall, 2 * PHONE_ASKS_EVERY, None, viewers=True)  # everybody has seen that it has begun
    for viewer in hall.viewers:
        viewer.asks_every = ALL_ASK_EVERY
    delays = []
    for step in range(1, REVEALS + 1):
        for viewer in hall.viewers:
            viewer.seen.clear()
        watching = asyncio.gather(*(viewer.look_on(time.monotonic() + 2.5) for viewer in hall.viewers))
        await asyncio.sleep(random.random() * 0.7 + 0.2)
        pressed = time.monotonic()
        body = f"submission={uuid4()}&step={step}".encode()
        answer = await hall.announcer.ask(
            f"/contests/{hall.contest.pk}/announcer/move/next/", body, "application/x-www-form-urlencoded", htmx=True
        )
        if answer.status != 200:
            raise RuntimeError(f"a reveal was answered {answer.status}")
        await watching
        for viewer in hall.viewers:
            fresh = [moment for moment in viewer.seen if moment > pressed]
            delays.append(fresh[0] - pressed if fresh else float("inf"))
    return delays


def tell_readings(what: str, without: Span, span: Span) -> None:
    print(f"{what}:")
    for name, measured in (("without viewers", without), ("with viewers", span)):
        rate = len(measured.readings) / measured.seconds
        figures = ", ".join(f"p{part} {p(measured.readings, part / 100):.1f} ms" for part in (50, 95, 99))
        cpu = measured.cpu / measured.seconds * 100
        print(f"  {name:<16}{figures}; {rate:.0f} readings/s, server at {cpu:.0f} % of a core")
    print(f"  p95 ratio       {p(span.readings, 0.95) / p(without.readings, 0.95):.2f}  (target: at most 1.30)")


def tell_viewers(what: str, hall: Hall, span: Span, other: float = 0.0) -> None:
    """`other` is the processor time that the helpers took by themselves, per second."""
    each_minute = 60 / span.seconds / len(hall.viewers)
    size, cpu = span.size * each_minute / 1000, (span.cpu - other * span.seconds) * each_minute * 1000
    print(
        f"{what}: {span.polls * each_minute:.0f} polls, {span.changes * each_minute:.1f} changes, "
        f"{size:.1f} kB, {cpu:.1f} ms of server time"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--viewers", type=int, default=300)
    parser.add_argument("--seconds", type=float, default=40, help="of each kind")
    options = parser.parse_args()
    random.seed(1)
    hall = Hall(options.viewers)
    try:
        hall.open()
        seconds = options.seconds
        print(f"{options.viewers} viewers, {HELPERS} helpers, {CONTESTANTS} contestants, load {os.getloadavg()[0]:.1f}")
        asyncio.run(measure(hall, seconds))
    finally:
        hall.close()


async def measure(hall: Hall, seconds: float) -> None:
    await run(hall, 3, PACE, viewers=False)  # a contest of which nothing is read yet is nobody's business
    await run(hall, 3, PACE, viewers=True)
    await first_copy(hall)
    idle = await run(hall, seconds, None, viewers=True)
    tell_viewers("a viewer's minute while nothing changes", hall, idle)
    alone, crowd = await compare(hall, seconds, PACE)
    tell_viewers("a viewer's minute while cards are read ", hall, crowd, alone.cpu / alone.seconds)
    tell_readings(f"every helper one reading in {PACE:g} s", alone, crowd)
    alone, crowd = await compare(hall, min(seconds, 10), 0)
    tell_readings("as fast as the server answers", alone, crowd)
    await asyncio.to_thread(hall.release)
    delays = await ceremony(hall)
    figures = ", ".join(f"p{part} {p(delays, part / 100):.0f} ms" for part in (50, 95, 99))
    print(f"from a reveal to a board: {figures}; worst {max(delays):.2f} s  (target: p95 below 1500 ms)")


if __name__ == "__main__":
    main()
