"""What one reading costs: python -m tests.bench.bench_readings

Helpers who read cards as fast as the server answers, turn and turn about with as many who each save one bare row on the
same server, in the same database, with the same durability. Then one reading by itself: its statements, and the time it
takes in the server, without the network. `--postgres` measures on a private PostgreSQL that waits for the disk.

Targets: p95 of a reading at most 5 times that of the bare row; at most 10 statements, and 2 ms.
"""

import argparse
import asyncio
import io
import json
import os
import random
import statistics
import sys
import time
from contextlib import nullcontext
from dataclasses import dataclass, field
from uuid import uuid4

from tests.bench.hall import CSRF, PLACINGS, Hall, Reader, p

CROWDS = (12, 50)
ROUNDS = 4
ALONE = 300
FEW = 40


@dataclass
class Saved:
    """What one crowd measured: seconds each, and how many were refused or lost."""

    times: list[float] = field(default_factory=list)
    errors: int = 0
    seconds: float = 0.0


class ReadingHall(Hall):
    """A hall of helpers alone, whose server also saves bare rows."""

    def __init__(self):
        super().__init__(viewers=0, helpers=max(CROWDS) + 1)  # the last one reads alone

    def command(self) -> list[str]:
        return [sys.executable, "-m", "tests.bench.bare", str(self.port)]


async def save_on(reader: Reader, address: str, until: float, saved: Saved) -> None:
    while time.monotonic() < until:
        body = json.dumps(a_reading(reader)).encode()
        began = time.monotonic()
        try:
            answer = await reader.browser.ask(address, body)
        except (OSError, asyncio.IncompleteReadError):
            reader.browser.writer = None
            saved.errors += 1
            continue
        if answer.status == 200:
            saved.times.append(time.monotonic() - began)
        else:
            saved.errors += 1


def a_reading(reader: Reader) -> dict:
    class_number, number = reader.cards.pop()
    reading = {"submission": str(uuid4()), "by": reader.name, "class_number": class_number, "number": number}
    return reading | {"placing": random.choice(PLACINGS)}


async def run(readers: list[Reader], bare: bool, seconds: float, saved: Saved) -> None:
    began = time.monotonic()
    work = [save_on(one, "/bare/" if bare else one.address, began + seconds, saved) for one in readers]
    await asyncio.gather(*work)
    saved.seconds += time.monotonic() - began


async def compare(hall: Hall, crowd: int, seconds: float) -> None:
    readers = hall.readers[:crowd]
    bare, cards = Saved(), Saved()
    for _ in range(ROUNDS):
        await run(readers, True, seconds / ROUNDS, bare)
        await run(readers, False, seconds / ROUNDS, cards)
    print(f"{crowd} helpers as fast as the server answers:")
    for name, saved in (("a bare row", bare), ("a reading", cards)):
        figures = ", ".join(f"p{part} {p(saved.times, part / 100):.1f} ms" for part in (50, 95, 99))
        print(f"  {name:<12}{figures}; {len(saved.times) / saved.seconds:.0f}/s; {saved.errors} errors")
    ratios = ", ".join(f"p{part} {p(cards.times, part / 100) / p(bare.times, part / 100):.1f}" for part in (50, 95, 99))
    rate = (len(bare.times) / bare.seconds) / (len(cards.times) / cards.seconds)
    print(f"  ratio       {ratios}; rate 1/{rate:.1f}  (target: p95 at most 5 with 12)")


def one_reading(hall: Hall) -> None:
    """In this process, so that neither the network nor the server's loop is in it."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from contest.wsgi import application  # with the server's own settings of the interpreter

    reader = hall.readers[-1]

    def ask() -> None:
        body = json.dumps(a_reading(reader)).encode()
        status = []
        answer = application(request(reader, body), lambda said, *about: status.append(said))
        answer.close()
        assert status == ["200 OK"], status

    for _ in range(FEW):
        ask()
    walls, processors = [], []
    for _ in range(ALONE):
        wall, processor = time.perf_counter(), time.process_time()
        ask()
        walls.append(time.perf_counter() - wall)
        processors.append(time.process_time() - processor)
    commits = [bare_row() for _ in range(ALONE)]
    with CaptureQueriesContext(connection) as asked:
        ask()
    wall, processor, bare = (statistics.median(times) * 1000 for times in (walls, processors, commits))
    print(
        f"one reading: {len(asked)} statements  (target: at most 10); {wall:.2f} ms, of which the processor "
        f"{processor:.2f} ms  (target: 2 ms); a bare row: {bare:.2f} ms; ratio {wall / bare:.1f}"
    )


def bare_row() -> float:
    from django.db import connection

    from contest.changes import one_change

    began = time.perf_counter()
    with one_change(), connection.cursor() as cursor:
        cursor.execute("INSERT INTO bench_bare (said) VALUES (%s)", ["x" * 150])
    return time.perf_counter() - began


def request(reader: Reader, body: bytes) -> dict:
    return {
        "REQUEST_METHOD": "POST",
        "PATH_INFO": reader.address,
        "SERVER_NAME": "localhost",
        "SERVER_PORT": str(reader.browser.port),
        "SERVER_PROTOCOL": "HTTP/1.1",
        "REMOTE_ADDR": "127.0.0.1",
        "HTTP_HOST": "localhost",
        "HTTP_ACCEPT": "application/json",
        "HTTP_COOKIE": f"{reader.browser.cookies}; csrftoken={CSRF}",
        "HTTP_X_CSRFTOKEN": CSRF,
        "CONTENT_TYPE": "application/json",
        "CONTENT_LENGTH": str(len(body)),
        "wsgi.url_scheme": "http",
        "wsgi.input": io.BytesIO(body),
        "wsgi.errors": sys.stderr,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=16, help="of each crowd and kind")
    parser.add_argument("--postgres", action="store_true")
    options = parser.parse_args()
    random.seed(1)
    if options.postgres:
        from tests.postgres import private_server
    with private_server(durable=True) if options.postgres else nullcontext() as url:
        if url:
            os.environ["DATABASE_URL"] = url
        hall = ReadingHall()
        try:
            hall.open()
            kind = "PostgreSQL" if url else "SQLite"
            print(f"{kind}, {max(CROWDS)} helpers in, load {os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")
            asyncio.run(measure(hall, options.seconds))
            one_reading(hall)
        finally:
            hall.close()


async def measure(hall: Hall, seconds: float) -> None:
    for bare in (True, False):  # warms everything up
        await run(hall.readers[:-1], bare, 2, Saved())
    for crowd in CROWDS:
        await compare(hall, crowd, seconds)


if __name__ == "__main__":
    main()
