"""What copies cost the desks: python -m tests.bench.copies [--litestream PATH]

Twelve helpers read a card a second each on a real server, beside 18 000 cards that were read before; first alone, then
while copies are made one after the other without a pause, each in its own way. Targets: p95 of a reading at most 1.3
times that without copies, though nobody makes them without a pause.
"""

import argparse
import contextlib
import json
import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from http.client import HTTPConnection
from pathlib import Path
from uuid import uuid4

from tests.bench.bench_viewers import p
from tests.faults.hall import CHECKOUT, Hall, a_hall, environment, free_port

HELPERS, PACE, CONTESTANTS = 12, 1.0, 1500

MORE = """
import django
django.setup()
from contest.records import save_record
from tests.bench.large_contest import large_record
save_record(large_record(1500, seed=2), by="bench")
"""
VACUUM = """
import os, sqlite3, sys
database = sqlite3.connect(sys.argv[1])
database.execute("VACUUM INTO ?", [sys.argv[2]])
with open(sys.argv[2], "rb+") as file:
    os.fsync(file.fileno())
"""
BACKUP = """
import os, sqlite3, sys
copy = sqlite3.connect(sys.argv[2])
sqlite3.connect(sys.argv[1]).backup(copy)
copy.close()
with open(sys.argv[2], "rb+") as file:
    os.fsync(file.fileno())
"""


def read_cards(hall: Hall, seconds: float) -> list[float]:
    """Seconds that each reading took."""
    times: list[float] = []
    until = time.monotonic() + seconds

    def read_on(name: str) -> None:
        with contextlib.closing(HTTPConnection("127.0.0.1", hall.port, timeout=30)) as connection:
            time.sleep(random.random() * PACE)
            while time.monotonic() < until:
                due = time.monotonic() + PACE
                with hall.lock:
                    class_number, number = hall.cards.pop()
                began = time.monotonic()
                hall._send(connection, str(uuid4()), (class_number, number, "3124", name))
                times.append(time.monotonic() - began)
                time.sleep(max(0, due - time.monotonic()))

    threads = [threading.Thread(target=read_on, args=[name]) for name in hall.cookies]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return times


@contextlib.contextmanager
def again_and_again(make: Callable[[Path], None], scratch: Path, took: list[float]) -> Iterator[None]:
    stop = threading.Event()

    def work() -> None:
        while not stop.is_set():
            with tempfile.TemporaryDirectory(dir=scratch) as folder:
                began = time.monotonic()
                make(Path(folder))
                took.append(time.monotonic() - began)

    thread = threading.Thread(target=work)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join()


def ways(hall: Hall) -> dict[str, Callable[[Path], None]]:
    def bare(script: str) -> Callable[[Path], None]:
        return lambda folder: run([sys.executable, "-c", script, str(hall.database), str(folder / "db.sqlite3")])

    def ours(folder: Path) -> None:
        order = {"source": str(hall.database), "data_folder": str(hall.folder), "made": str(folder)}
        said = run([sys.executable, "-m", "contest.copies.child"], json.dumps(order) + "\n", hall)
        assert json.loads(said)["tallied"]

    return {"backup API": bare(BACKUP), "VACUUM INTO": bare(VACUUM), "ours, tallied": ours}


def run(command: list[str], said: str = "", hall: Hall | None = None) -> str:
    env = environment(hall.folder) if hall else {**os.environ}
    # The child ends with its input, so that stays open until it has answered.
    with subprocess.Popen(
        command, cwd=CHECKOUT, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as child:
        child.stdin.write(said)
        child.stdin.flush()
        answer = child.stdout.read()
    assert child.returncode == 0, answer
    return answer


def tell(what: str, times: list[float], alone: list[float], took: list[float]) -> None:
    copies = f"; {len(took)} copies of {sum(took) / len(took):.2f} s" if took else ""
    ratio = p(times, 0.95) / p(alone, 0.95)
    print(
        f"  {what:<16}p50 {p(times, 0.5):.1f} ms, p95 {p(times, 0.95):.1f} ms, p99 {p(times, 0.99):.1f} ms; "
        f"p95 x {ratio:.2f} (target 1.3){copies}",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=15)
    parser.add_argument("--rounds", type=int, default=2)
    parser.add_argument("--litestream", help="the program, to be measured beside")
    options = parser.parse_args()
    random.seed(1)
    with (
        tempfile.TemporaryDirectory() as scratch,
        a_hall(Path(scratch) / "data", free_port(), CONTESTANTS, HELPERS) as hall,
    ):
        subprocess.run([sys.executable, "-c", MORE], cwd=CHECKOUT, env=environment(hall.folder), check=True)
        hall.start()
        read_cards(hall, 3)
        size = hall.database.stat().st_size / 1e6
        print(f"{size:.1f} MB, {HELPERS} helpers a card in {PACE:g} s each, load {os.getloadavg()[0]:.1f}")
        with contextlib.closing(sqlite3.connect(hall.database)) as database:
            began = time.monotonic()
            database.execute("PRAGMA quick_check").fetchall()
            print(f"  quick_check at the start {time.monotonic() - began:.2f} s")
        for _ in range(options.rounds):
            alone = read_cards(hall, options.seconds)
            tell("without copies", alone, alone, [])
            for what, make in ways(hall).items():
                took: list[float] = []
                with again_and_again(make, Path(scratch), took):
                    times = read_cards(hall, options.seconds)
                tell(what, times, alone, took)
            if options.litestream:
                target = Path(scratch) / "stream"
                command = [options.litestream, "replicate", str(hall.database), f"file://{target}"]
                with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as stream:
                    times = read_cards(hall, options.seconds)
                    stream.terminate()
                tell("Litestream", times, alone, [])


if __name__ == "__main__":
    main()
