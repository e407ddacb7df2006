"""What runs on this machine, as far as tests need to know."""

from contextlib import suppress
from pathlib import Path


def children_of(parent: int) -> list[int]:
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdecimal():
            with suppress(OSError):  # it has ended meanwhile
                status = (entry / "stat").read_text().rpartition(")")[2].split()
                if int(status[1]) == parent and status[0] != "Z":
                    found.append(int(entry.name))
    return found


def serving_processes_of(up: int) -> list[int]:
    """The processes that serve for an `up` or `serve`."""
    found = []
    for child in children_of(up):
        with suppress(OSError):
            if b"spawn_main" in (Path("/proc") / str(child) / "cmdline").read_bytes():
                found.append(child)
    return found


def serving_process_of(up: int) -> int | None:
    """The one that serves; None while there is none."""
    return next(iter(serving_processes_of(up)), None)
