"""Two commands started at once must not build the same environment at once."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def only_one(path: Path) -> Iterator[None]:
    """Hold `path` locked; wait for whoever holds it. The system lets go of it however the process ends."""
    with path.open("a") as file:
        if not _try_lock(file.fileno()):
            print("  waiting for another command that is getting Tanbark ready ...", flush=True)
            while not _try_lock(file.fileno()):
                time.sleep(0.2)
        yield


def _try_lock(descriptor: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(descriptor, 0, os.SEEK_SET)
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        else:
            try:
                import fcntl
            except ImportError:  # some small systems lack it; two commands at once are rarer still
                return True
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
