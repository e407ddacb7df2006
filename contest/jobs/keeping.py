"""A process that looks after its lines of jobs for as long as it runs."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Sequence
from typing import Any

from django.conf import settings
from django.db import OperationalError, connection, connections

from contest.jobs.line import BELL, Line

log = logging.getLogger(__name__)

LOOK_EVERY = 2.0
"""Seconds between two looks, if no bell rings; a job whose worker ended is taken up again so late."""
TIDY_AFTER = 30
"""Looks."""


def keep_going(
    lines: Sequence[Line[Any]],
    stop: threading.Event,
    works: bool = False,
    tidying: Sequence[Callable[[], None]] = (),
) -> None:
    """Have the jobs made that wait, those among them that a restart left behind, until told to stop.

    A process that serves alone does so once, as it hears of every other job itself. `works` says that this process is
    there for jobs; `tidying` is done now and again.
    """
    looked = 0
    while True:
        try:
            _look(lines, works)
            if looked % TIDY_AFTER == 0:
                for tidy in tidying:
                    tidy()
            looked += 1
            if not settings.SEVERAL:
                break
            _wait(stop)
        except Exception as problem:
            is_away = isinstance(problem, OperationalError)
            log.error("the lines of jobs could not be looked after, and are again: %s", problem, exc_info=not is_away)
            connections.close_all()
            stop.wait(LOOK_EVERY)
        if stop.is_set():
            break
    connections.close_all()


def _look(lines: Sequence[Line[Any]], works: bool) -> None:
    for line in lines:
        line.end_unwanted()
        line.go_on(works)


def _wait(stop: threading.Event) -> None:
    """Until the bell rings, for a while at most; what rang while this process looked is heard too."""
    with connection.cursor() as cursor:
        cursor.execute(f"LISTEN {BELL}")
    waited = 0.0
    while waited < LOOK_EVERY and not stop.is_set():
        with connection.wrap_database_errors:
            if list(connection.connection.notifies(timeout=0.5, stop_after=1)):
                return
        waited += 0.5
