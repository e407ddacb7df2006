"""What the serving process does by itself now and again, such as deleting what is old."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

from django.db import connections

log = logging.getLogger(__name__)

EVERY = 3600.0
"""Seconds between two looks; not a day, as a laptop that sleeps counts none of them."""


def keep_doing(work: Callable[[], object], stop: threading.Event, every: float = EVERY) -> None:
    """Do it now and again until told to stop, in a thread of its own; whatever goes wrong is tried again the next
    time."""
    while True:
        try:
            work()
        except Exception:  # a disk that is full, a database that is away
            log.exception("%s failed, and is tried again later", getattr(work, "__name__", work))
        finally:
            connections.close_all()
        if stop.wait(every):
            return
