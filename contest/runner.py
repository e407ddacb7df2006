"""A thread of the server that works through what waits, so that no desk waits for it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Generic, TypeVar

from django.db import connections
from django.db.models import Model, QuerySet

Row = TypeVar("Row", bound=Model)


class Runner(Generic[Row]):
    """A thread that works on the rows that wait, one after another, for as long as there are any.

    `work` leaves a row waiting no more. `begin` comes before the first. `lock` is over what whoever has the runner
    keeps in memory: under it nobody puts a row in line just as the thread ends.
    """

    def __init__(
        self,
        name: str,
        lock: AbstractContextManager[None],
        waiting: Callable[[], QuerySet[Row]],
        work: Callable[[Row], None],
        begin: Callable[[], None] = lambda: None,
    ) -> None:
        self._name, self._lock, self._waiting, self._work, self._begin = name, lock, waiting, work, begin
        self._thread: threading.Thread | None = None

    @property
    def is_idle(self) -> bool:
        return self._thread is None

    def go_on(self) -> None:
        """Make sure that somebody works on what waits."""
        with self._lock:
            if self._thread is None and self._waiting().exists():
                self._thread = threading.Thread(target=self._run, name=self._name, daemon=True)
                self._thread.start()

    def _run(self) -> None:
        try:
            self._begin()
            while row := self._next():
                self._work(row)
        except BaseException:
            with self._lock:
                self._thread = None
            raise
        finally:
            connections.close_all()

    def _next(self) -> Row | None:
        with self._lock:
            row = self._waiting().order_by("pk").first()
            if row is None:
                self._thread = None
            return row
