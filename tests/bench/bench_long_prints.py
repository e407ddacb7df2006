"""What the longest documents cost: python -m tests.bench.bench_long_prints

Placing cards of 621 pages, packets of 400 contestants and packets of 1 500, each made by a printing child of its own,
from the database to the file: processor time, pages, size, and the most memory that the child ever held.

Targets: cards in 18 s and packets of 400 in 34 s, half of what they once took; 400 MB.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests.bench.bench_prints import pages_of
from tests.bench.hall import CHECKOUT
from tests.bench.large_contest import large_record

MOST = 1500
CARDS_OF = 207
"""Contestants with 12 cards each, on 621 pages."""


@dataclass
class Job:
    name: str
    document: str
    contestants: int


JOBS = [
    Job("cards", "placing-cards", CARDS_OF),
    Job("packets", "packets", 400),
    Job("all-packets", "packets", MOST),
]


def made(order: dict) -> tuple[float, int]:
    """Seconds of processor time that one child took, and the most memory it held, in bytes."""
    pipe = subprocess.PIPE
    process = subprocess.Popen(
        [sys.executable, "-m", "scoring.prints.child"], stdin=pipe, stdout=pipe, text=True, cwd=CHECKOUT
    )
    process.stdin.write(json.dumps(order) + "\n")
    process.stdin.flush()  # and it stays open: a child ends with its input
    said = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.stdin.close()
    process.stdout.close()
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(said)
    return used.ru_utime + used.ru_stime, used.ru_maxrss * 1024


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("jobs", nargs="*", metavar="JOB", help=", ".join(job.name for job in JOBS))
    chosen = parser.parse_args().jobs
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"TANBARK_DATA": folder, "DJANGO_SETTINGS_MODULE": "contest.settings"}
        import django

        django.setup()
        from django.conf import settings
        from django.core.management import call_command

        from contest.records import save_record

        call_command("migrate", verbosity=0)
        contests = {}
        for job in JOBS:
            if chosen and job.name not in chosen:
                continue
            if job.contestants not in contests:
                contests[job.contestants] = save_record(large_record(job.contestants), by="bench")
            out = Path(folder) / "made.pdf"
            order = {
                "contest": contests[job.contestants].pk,
                "document": job.document,
                "choice": {},
                "out": str(out),
                "database": str(settings.DATABASES["default"]["NAME"]),
                "data_folder": folder,
            }
            seconds, memory = made(order)
            pages, size = pages_of(out), out.stat().st_size
            print(
                f"{job.document} of {job.contestants} contestants: {seconds:.1f} s of processor time, {pages} pages, "
                f"{seconds / pages * 1000:.0f} ms each; {memory / 1e6:.0f} MB of memory, {size / 1e6:.1f} MB of file"
            )


if __name__ == "__main__":
    main()
