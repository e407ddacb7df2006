"""How much room the disk has, and whether it can be written at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from scoring.core.points import as_figure, in_thousands

MEGABYTE = 1_000_000
LITTLE_ROOM = 500 * MEGABYTE
"""A warning comes at this much left: a contest of 1 500 with all its papers takes less in a day."""

PROBE = 256 * 1024


def room_left(folder: Path) -> int:
    """Free bytes on the disk that holds `folder`, or will hold it once it is made."""
    while not folder.exists() and folder != folder.parent:
        folder = folder.parent
    return shutil.disk_usage(folder).free


def megabytes(size: int) -> str:
    """A size in words, such as 0.4 MB or 1,240 MB."""
    if size < 10 * MEGABYTE:
        return f"{as_figure(f'{size / MEGABYTE:.1f}')} MB"
    return f"{in_thousands(round(size / MEGABYTE))} MB"


def try_to_write(folder: Path) -> None:
    """Write a little to the disk and take it away again; raises the OSError that a save would meet.

    Asking the system for permission tells little: the superuser may do anything and still meets a disk that is full
    or mounted read-only.
    """
    descriptor, name = tempfile.mkstemp(prefix=".probe-", dir=folder)
    try:
        written = 0
        while written < PROBE:
            written += os.write(descriptor, b"\0" * (PROBE - written))
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
        os.unlink(name)
