"""Work in a process of its own beside the server, so that no desk waits for it."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from contextlib import suppress
from dataclasses import dataclass

from contest.bootstrap import CHECKOUT

try:
    import resource
except ImportError:  # Windows has no limits of this kind
    resource = None  # type: ignore[assignment]


NICE = 10
"""How far a child steps back. At 19 it takes four times as long on a busy machine; readings wait as little at 10."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a child may use: `seconds` of the processor, and bytes of `memory` and in a file that it writes.

    Where the system cannot set them, whoever started the child still watches the time and the file.
    """

    seconds: int
    memory: int
    written: int

    @property
    def wall_seconds(self) -> int:
        """How long it may take by the clock: it steps back for everybody else."""
        return 4 * self.seconds


def start_child(module: str, order: str) -> subprocess.Popen[str]:
    """Start a module, tell it what to do in one line on its input, and let it be heard on its output, both text.

    The input stays open: for as long as it is, the child knows that somebody wants what it makes. The child itself
    steps back behind all other work, where the system has no way to say so at the start.
    """
    lower = getattr(subprocess, "BELOW_NORMAL_PRIORITY_CLASS", 0)  # Windows alone has it
    child = subprocess.Popen(
        [sys.executable, "-m", module],
        cwd=CHECKOUT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        creationflags=lower,
    )
    give_order(child, order)
    return child


def give_order(child: subprocess.Popen[str], order: str) -> None:
    """Tell a child what to do, in one line; one that has ended already is not told, and fails nobody."""
    assert child.stdin is not None
    try:
        child.stdin.write(order + "\n")
        child.stdin.flush()
    except BrokenPipeError:
        with suppress(BrokenPipeError):  # what is left in the pipe would fail again where that is closed
            child.stdin.close()


def step_back(nice: int = NICE) -> None:
    """In the child: people at the desks come first, and it still gets somewhere on a laptop that is never idle.

    Against others who want all of the processor it gets a ninth of what one of them does, and it never interrupts them.
    """
    if hasattr(os, "sched_setscheduler"):
        os.sched_setscheduler(0, os.SCHED_BATCH, os.sched_param(0))
    if hasattr(os, "nice"):
        os.nice(nice)


def keep_to(limits: Limits) -> None:
    """In the child: never use more than that. Python then raises MemoryError or OSError, or the system ends it."""
    if resource is None:
        return  # type: ignore[unreachable]  # it is reached on Windows
    wanted = {"RLIMIT_AS": limits.memory, "RLIMIT_CPU": limits.seconds, "RLIMIT_FSIZE": limits.written}
    for name, most in wanted.items():
        if hasattr(resource, name):
            kind = getattr(resource, name)
            _soft, hard = resource.getrlimit(kind)
            soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
            try:
                resource.setrlimit(kind, (soft, hard))
            except (ValueError, OSError):  # macOS lacks some of what it names
                continue


def end_with_the_server() -> None:
    """In the child: end when the input does, for whoever started it is gone. Call it once the input was read."""

    def wait() -> None:
        while os.read(sys.stdin.fileno(), 1):
            pass
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()
