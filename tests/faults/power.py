"""A power cut, at the level of files: what the disk was told to keep stays, what came after it may be gone or garbled.

After each acknowledged reading the write-ahead log has been flushed up to some length. Copies of the database and its
log are taken at arbitrary moments while cards are read; of each, everything behind the length that the log had at the
last acknowledgement is dropped, torn in the middle of a page, filled with noise, or left out of order. Whatever of it,
the database must open whole and hold every reading that was acknowledged when the copy was begun.

Not simulated: a disk that says it kept what it did not, and a cut while the log is written back into the database.
"""

from __future__ import annotations

import random
import shutil
import time
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from tests.faults.hall import Hall, a_hall, free_port, look_into

HEADER, FRAME_HEADER, PAGE = 32, 24, 4096  # bytes, as https://sqlite.org/fileformat2.html#walformat has them
DAMAGES = ("dropped", "torn", "noise", "zeros", "only the last page")


@dataclass(frozen=True)
class Cut:
    cuts: Counter
    acknowledged: int
    bytes_damaged: int
    lost: int
    torn: int
    not_ok: int

    def __str__(self) -> str:
        kinds = ", ".join(f"{count} {kind}" for kind, count in sorted(self.cuts.items()))
        return (
            f"power cut: {sum(self.cuts.values())} cuts ({kinds}), {self.bytes_damaged} bytes behind the last flush "
            f"damaged; of {self.acknowledged} readings lost {self.lost}, torn {self.torn}, "
            f"quick_check not ok {self.not_ok}"
        )


def cut_again_and_again(folder: Path, cuts: int, seed: int = 1, contestants: int = 300) -> Cut:
    rng = random.Random(seed)
    kinds, damaged, lost, torn, not_ok = Counter(), 0, 0, 0, 0
    with a_hall(folder, free_port(), contestants) as hall:
        flushed = watch_the_log(hall)
        hall.start()
        with hall.reading_on(rng):
            hall.wait_for_an_answer()
            for number in range(cuts):
                time.sleep(rng.random() * 0.05)
                copy = folder.parent / f"cut-{number}"
                copy.mkdir()
                acknowledged, length = snapshot(hall, flushed, copy)
                kind = DAMAGES[number % len(DAMAGES)]
                damaged += damage(copy / "db.sqlite3-wal", length, kind, rng)
                kinds[kind] += 1
                found = look_into(copy / "db.sqlite3", acknowledged)
                lost, torn, not_ok = lost + found.lost, torn + found.torn, not_ok + (found.check != "ok")
                shutil.rmtree(copy)
        return Cut(kinds, len(hall.acknowledged), damaged, lost, torn, not_ok)


def watch_the_log(hall: Hall) -> list[int]:
    """How long the log was when the last reading was acknowledged: up to there the disk was told to keep it."""
    flushed = [0]
    log = hall.folder / "db.sqlite3-wal"

    def note(submission: str) -> None:
        flushed[0] = end_of(log)

    hall.on_answer = note
    return flushed


def end_of(log: Path) -> int:
    """Where the log ends that belongs to the database now: behind it lies what an earlier round left."""
    with log.open("rb") as file:
        salts = file.read(HEADER)[16:24]
        end = HEADER
        while True:
            file.seek(end)
            if file.read(FRAME_HEADER)[8:16] != salts:
                return end
            end += FRAME_HEADER + PAGE


def snapshot(hall: Hall, flushed: list[int], copy: Path):
    """Copy the files as they are at one moment, with what was acknowledged by then and how long the log was."""
    log = hall.folder / "db.sqlite3-wal"
    while True:
        with hall.lock:  # so that what is acknowledged and what was flushed belong together
            acknowledged, length = dict(hall.acknowledged), flushed[0]
        before = (hall.database.stat().st_mtime_ns, log.stat().st_ino)
        shutil.copyfile(hall.database, copy / "db.sqlite3")
        shutil.copyfile(log, copy / "db.sqlite3-wal")
        # A log that was written back meanwhile would make the two copies of two moments, which no power cut does.
        if before == (hall.database.stat().st_mtime_ns, log.stat().st_ino):
            return acknowledged, length


def damage(log: Path, length: int, kind: str, rng: random.Random) -> int:
    """Do to everything behind `length` what a power cut may do to it, and say how much that was."""
    content = log.read_bytes()
    kept, rest = content[:length], content[length:]
    if kind == "dropped":
        rest_now = b""
    elif kind == "torn":
        rest_now = rest[: rng.randint(0, len(rest))]
    elif kind == "noise":
        rest_now = rng.randbytes(len(rest) or 3000)  # what lay on the disk there before
    elif kind == "zeros":
        rest_now = bytes(len(rest) or 3000)
    else:
        rest_now = bytes(max(0, len(rest) - 4120)) + rest[-4120:]
    log.write_bytes(kept + rest_now)
    return max(len(rest), len(rest_now))
