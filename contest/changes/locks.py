"""The order in which anything is waited for, so that no two threads ever wait for each other.

0. The seat of `contest.uploads` for whoever saves a file: only its own threads wait for it, before anything else.
1. The write turn of `contest.changes.one_change`, and with it the database's own locks.
2. A `MemoryLock`: over what this process keeps in memory, such as results, boards and jobs.

Whoever holds the turn may take a memory lock, and whoever holds a memory lock may read the database: reading waits for
no writer. Nobody may take the turn while holding a memory lock, and `one_change` refuses it, so that the mistake shows
the first time that it is made and not once in a thousand contests. Of memory locks, only those that nothing is waited
for under may be taken within another.
"""

from __future__ import annotations

import threading
from typing import Any

_here = threading.local()


class WrongOrder(RuntimeError):
    """Raised instead of waiting for what somebody may hold who waits for us."""


class MemoryLock:
    """A lock over what is kept in memory. It knows whether this thread holds one, see `refuse_under_memory_lock`."""

    def __init__(self, again: bool = False) -> None:
        """`again`: whoever holds it may take it again."""
        self._lock: Any = threading.RLock() if again else threading.Lock()

    def __enter__(self) -> None:
        self._lock.acquire()
        _here.held = _held() + 1

    def __exit__(self, *problem: object) -> None:
        _here.held -= 1
        self._lock.release()

    def locked(self) -> bool:
        return bool(self._lock.locked())


def refuse_under_memory_lock() -> None:
    """Raise WrongOrder where this thread holds a memory lock."""
    if holds_memory_lock():
        raise WrongOrder("the write turn comes first: let go of the lock over memory, then change the database")


def holds_memory_lock() -> bool:
    """Whether this thread holds a lock over memory."""
    return _held() > 0


def _held() -> int:
    return getattr(_here, "held", 0)
