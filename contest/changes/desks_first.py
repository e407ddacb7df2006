"""Desks come first: a thread of the server that makes something large stands still while a desk waits for an answer.

All threads share one interpreter, and whoever computes beside a reading makes it wait at each of its statements, and
now and again between them: what takes 5 ms alone took 20. So whoever makes much says again and again that this would be
a moment to stand still. That costs nothing while no desk waits; and however many do, it stands still for half of the
time at the most.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

from contest.changes.locks import holds_memory_lock
from contest.changes.snapshot import doing

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

LONGEST = 0.02
"""Seconds for which somebody stands still at once. A reading takes a third of it."""
LARGEST = 64 * 1024
"""Bytes that a desk sends at most; what is larger is a file, and takes its time anyway."""

Item = TypeVar("Item")

_guard = threading.Lock()
_waiting = 0
_nobody_waits = threading.Event()
_nobody_waits.set()
_here = threading.local()


def desks_first(application: WSGIApplication) -> WSGIApplication:
    """Count whoever sends a form or a reading as a desk that waits, until it is answered."""

    def answer(environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        length = environ.get("CONTENT_LENGTH") or "0"
        if environ["REQUEST_METHOD"] != "POST" or not length.isdecimal() or int(length) > LARGEST:
            return application(environ, start_response)
        with a_desk_waits():
            return application(environ, start_response)

    return answer


@contextmanager
def a_desk_waits() -> Iterator[None]:
    """What this thread does inside is done for a desk."""
    global _waiting
    with _guard:
        _waiting += 1
        _nobody_waits.clear()
    _here.for_a_desk = True
    try:
        yield
    finally:
        _here.for_a_desk = False
        with _guard:
            _waiting -= 1
            if not _waiting:
                _nobody_waits.set()


def let_desks_go_first() -> None:
    """Stand still while a desk waits; not where this thread works for one, or has what a desk may be waiting for."""
    if not _waiting:
        return
    now = time.monotonic()
    if getattr(_here, "for_a_desk", False) or now < getattr(_here, "goes_on_until", 0.0):
        return
    if doing() == "changing" or holds_memory_lock():
        return
    _nobody_waits.wait(LONGEST)
    stood = time.monotonic() - now
    _here.goes_on_until = now + 2 * stood


def while_desks_rest(items: Iterable[Item]) -> Iterator[Item]:
    """The same items, each once no desk waits."""
    for item in items:
        let_desks_go_first()
        yield item
