"""One kind of job: its rows, whoever works on them here, and what becomes of one whose worker ended."""

from __future__ import annotations

import subprocess
import threading
import time
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, Generic, TypeVar

from django.conf import settings
from django.db import connection, connections, transaction
from django.db.models import Model, QuerySet

from contest.changes import one_change
from contest.changes.held import Held
from contest.changes.locks import MemoryLock
from contest.jobs.holding import held, holding, somebody_works

Row = TypeVar("Row", bound=Model)

BELL = "tanbark_jobs"
"""What rings at every process that looks after lines, once a job is ordered or cancelled."""

TELL_EVERY = 1.0
"""Seconds between two words of how far a job is, where other processes want to know."""


class Attempt(Generic[Row]):
    """One try at a job by a thread of this process.

    `said` is what was heard of the job last, at the moment `heard_at` by the process's own clock. Whatever is written
    of the job is written by `write`, so that a try of somebody who was cut off, and has been replaced, writes nothing;
    a file has the `number` of the try in its name.
    """

    def __init__(self, mine: QuerySet[Row], progress: tuple[str, ...], number: int) -> None:
        self.mine, self._progress, self.number = mine, progress, number
        self.said: dict[str, Any] = {}
        self.heard_at: float | None = None
        self.child: subprocess.Popen[str] | None = None
        self.is_called_off = False
        """Whether this process has heard that nobody wants it any more: costs nothing to ask, and is a moment late."""
        self._told_at = 0.0

    @property
    def is_wanted(self) -> bool:
        """False once the job was cancelled, or is another's."""
        return self.mine.exists()

    def ends_with(self, child: subprocess.Popen[str]) -> None:
        """Whoever cancels the job ends this process; at once, if somebody has meanwhile."""
        self.child, self.heard_at = child, time.monotonic()
        if not self.is_wanted:
            self.end()

    def end(self) -> None:
        self.is_called_off = True
        if self.child:
            self.child.terminate()

    def hear(self, said: Mapping[str, Any]) -> None:
        """Remember how far it is, and tell other processes now and again."""
        self.said.update(said)
        self.heard_at = time.monotonic()
        if settings.SEVERAL and self.heard_at - self._told_at >= TELL_EVERY:
            self._told_at = self.heard_at
            self.write(**{name: self.said.get(name, 0) for name in self._progress})

    def write(self, **facts: Any) -> bool:
        """Change the row; False, and nothing written, where the job is this try's no longer."""
        with one_change():
            return bool(self.mine.update(**facts))


class Line(Generic[Row]):
    """The jobs of one kind, and threads of this process that work on them for as long as any wait: `at_once` at most.

    `rows` are all that anybody may work on; they have a `state`, which is `waits` or `runs` or one of an end, and an
    `attempt`. `work` brings one to an end, whatever end. `begin` comes before the first of some.

    One that ended whoever worked on it waits again, with `afresh`; after `most_attempts` it is given up with `in_vain`.
    """

    def __init__(
        self,
        name: str,
        what: Held,
        rows: Callable[[], QuerySet[Row]],
        work: Callable[[Row, Attempt[Row]], None],
        *,
        waits: str,
        runs: str,
        progress: tuple[str, ...] = (),
        afresh: Mapping[str, Any] | None = None,
        most_attempts: int | None = None,
        in_vain: Mapping[str, Any] | None = None,
        begin: Callable[[], None] = lambda: None,
        at_once: int = 1,
    ) -> None:
        self._name, self._what, self._rows, self._work, self._begin = name, what, rows, work, begin
        self._waits, self._runs, self._progress = waits, runs, progress
        self._afresh, self._most_attempts, self._in_vain = afresh or {}, most_attempts, in_vain or {}
        self.attempts: dict[int, Attempt[Row]] = {}
        """By the key of its row, what is worked on here."""
        self._at_once, self._threads = at_once, 0
        self._taken: set[int] = set()  # by threads of this process, which would otherwise wait for one another
        self.lock = MemoryLock()  # nobody puts a row in line just as a thread ends

    @property
    def is_idle(self) -> bool:
        return self._threads == 0

    def ordered(self) -> None:
        """Tell those who work, once this change is made; called in the change that writes a row that waits."""
        self._ring()

    def cancelled(self, pk: int) -> None:
        """End what works on a job, here or elsewhere, once this change is made."""
        # Before that, one that begins at this moment would see neither the change nor be seen.
        transaction.on_commit(partial(self._end, pk))
        self._ring()

    def go_on(self, works: bool = False) -> None:
        """Make sure that somebody works on what waits: this process, unless others are there for that and it is not."""
        self.take_up_again()
        if settings.SEVERAL and not works and somebody_works():
            return
        with self.lock:
            for _waiting in range(self._waiting()[: self._at_once - self._threads].count()):
                threading.Thread(target=self._run, name=self._name, daemon=True).start()
                self._threads += 1

    def take_up_again(self) -> None:
        """Put jobs that run and that nobody works on into the line again."""
        running = list(self._rows().filter(state=self._runs).values_list("pk", "attempt"))
        if not running:
            return
        here = held(self._what)  # looked at after the rows: a job is held before it runs
        for pk, attempt in running:
            if pk not in here:
                again = self._most_attempts is None or attempt < self._most_attempts
                facts = {"state": self._waits, **self._afresh} if again else self._in_vain
                with one_change():
                    self._attempt(pk, attempt).update(**facts)

    def end_unwanted(self) -> None:
        """End what is worked on here for jobs that were cancelled elsewhere."""
        for attempt in list(self.attempts.values()):
            if not attempt.is_wanted:
                attempt.end()

    def try_one(self, row: Row) -> None:
        """Work on a job, if it waits still and nobody else does."""
        with holding(self._what, row.pk) as is_held:
            if not is_held:
                time.sleep(TELL_EVERY)  # whoever had it lets go at this moment
                return
            attempt = self._take(row)
            if attempt:
                self.attempts[row.pk] = attempt
                try:
                    self._work(row, attempt)
                finally:
                    del self.attempts[row.pk]

    def _take(self, row: Any) -> Attempt[Row] | None:
        waiting = row._meta.default_manager.filter(pk=row.pk, state=self._waits, attempt=row.attempt)
        with one_change():
            taken = waiting.update(state=self._runs, attempt=row.attempt + 1)
        number = row.attempt + 1
        return Attempt(self._attempt(row.pk, number), self._progress, number) if taken else None

    def _attempt(self, pk: int, attempt: int) -> QuerySet[Row]:
        rows: QuerySet[Row] = self._rows().model._default_manager.all()
        return rows.filter(pk=pk, state=self._runs, attempt=attempt)

    def _waiting(self) -> QuerySet[Row]:
        return self._rows().filter(state=self._waits)

    def _ring(self) -> None:
        if settings.SEVERAL:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_notify(%s, '')", [BELL])  # which PostgreSQL does once the change is made

    def _end(self, pk: int) -> None:
        if attempt := self.attempts.get(pk):
            attempt.end()

    def _run(self) -> None:
        try:
            self._begin()
            while row := self._next():
                try:
                    self.try_one(row)
                finally:
                    self._taken.discard(row.pk)
        except BaseException:
            with self.lock:
                self._threads -= 1
            raise
        finally:
            connections.close_all()

    def _next(self) -> Row | None:
        with self.lock:
            row = self._waiting().exclude(pk__in=self._taken).order_by("pk").first()
            if row is None:
                self._threads -= 1
            else:
                self._taken.add(row.pk)
            return row
