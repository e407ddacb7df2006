"""Working on files that people brought: a child reads each, and what it is for is done with what was read.

Files are jobs (`contest.jobs`), so any process may work on one, and one whose process ended is taken up again from its
beginning: until the last change nobody sees anything of it. That change also says that the file is done, so what was
saved and what is known of it can never differ, whenever a process is killed.
"""

from __future__ import annotations

import json
import logging
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.exceptions import ObjectDoesNotExist
from django.db import DatabaseError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop, override

from contest import kept
from contest.background import start_child
from contest.changes import Outcome, once_by_digest, one_change, take_turn
from contest.changes.desks_first import let_desks_go_first
from contest.changes.held import Held
from contest.jobs import Attempt, Line
from contest.language.catalogs import texts_of
from contest.models import BroughtFile, Contest
from contest.models.organisations import reaching
from contest.records import sweep_abandoned
from contest.uploads.files import file_of, keep_problems_of, show_later
from contest.uploads.purposes import function_of
from contest.uploads.readers import MEGABYTE, READERS, Reader
from scoring.core.points import in_thousands
from scoring.core.texts import decimal_mark

log = logging.getLogger(__name__)

State = BroughtFile.State

AT_A_TIME = 2
"""Files that a process reads at once; more wait."""
MOST_ATTEMPTS = 5
"""As many processes may be stopped for a new version, one after another, while a book is saved."""
IN_VAIN = gettext_noop("Nothing was saved: each process that read it ended before that was done. Bring a smaller file.")
LONGEST_LINE = 10_000
"""Characters of what a child says."""
REST = 0.002
"""Seconds between two lines that are taken in, for everybody else."""

# Saving costs those who read cards something, so a process saves one file at a time. Of several processes each may:
# what two files do to one contest comes one after the other, as every change takes the contest's turn.
_saving = threading.BoundedSemaphore(1)


class Cancelled(Exception):
    """Raised within the work on a file that is wanted no more, or is another attempt's by now."""


class OnItsWay:
    """A file that was read, for whoever does what it was brought for: what is in it, and the word that it is done."""

    def __init__(self, row: BroughtFile, attempt: Attempt[BroughtFile], result: Path) -> None:
        self._row, self._attempt, self._result = row, attempt, result

    @property
    def key(self) -> UUID:
        return self._row.key

    @property
    def kind(self) -> str:
        return self._row.kind

    @property
    def name(self) -> str:
        return self._row.name

    @property
    def contest(self) -> Contest:
        """The one that it was brought for. Raises Contest.DoesNotExist once that is deleted."""
        assert self._row.contest_id is not None
        return Contest.objects.get(pk=self._row.contest_id)

    def lines(self) -> Iterator[Any]:
        """What was read, a line each."""
        with self._result.open(encoding="utf-8") as result:
            for line in result:
                yield json.loads(line)
                time.sleep(REST)
                let_desks_go_first()

    def tell(self, done: int, of: int) -> None:
        """Say how many rows are saved, of how many. Raises Cancelled where nobody wants them any more."""
        if self._attempt.is_called_off:
            raise Cancelled
        self._attempt.hear({"done": done, "of": of})

    def show_later(self, read: Any) -> None:
        """Hold what was read for the page that shows it."""
        show_later(self._row, read)

    def end_with(self, work: Callable[[], Outcome], address: Callable[[Outcome], str]) -> Outcome:
        """Do the last that is to be done, and write down in the same change that the file is done and leads to an
        address. What a form asked for before is not done again. Raises Cancelled, and then nothing of it was done."""
        row = self._row
        with one_change():
            if row.contest_id is not None:
                take_turn(row.contest_id)  # before the row, as whoever deletes the contest does
            if self._attempt.mine.select_for_update().first() is None:
                raise Cancelled
            outcome = once_by_digest(row.key, row.digest, work) if row.digest else work()
            self._attempt.write(state=State.DONE, leads_to=address(outcome))
        return outcome


def _work(row: BroughtFile, attempt: Attempt[BroughtFile]) -> None:
    with override(row.language), reaching(row.reach):
        attempt.hear({"at": "", "done": 0, "of": 0})
        if trouble := _trouble_of(row, attempt):
            attempt.write(state=State.FAILED, trouble=trouble)
    with suppress(DatabaseError, OSError):  # the next one, or the next look, tries again
        if not BroughtFile.every.filter(pk=row.pk, state__in=BroughtFile.OPEN).exists():
            kept.drop(file_of(row))
        if row.kind == "book":
            sweep_abandoned()


def _trouble_of(row: BroughtFile, attempt: Attempt[BroughtFile]) -> str:
    """Bring a file to its end; why that was none, in words, unless nobody wants it any more."""
    told = _("Nothing was saved: {reason}. Bring the file once more.")
    try:
        with kept.scratch() as folder:
            result = folder / "result"
            if trouble := _read(row, attempt, result):
                return trouble
            with _seat(attempt):
                attempt.hear({"at": _("is being saved")})
                function_of(row.purpose)(OnItsWay(row, attempt, result), **row.arguments)
    except Cancelled:
        pass
    except ObjectDoesNotExist:
        return told.format(reason=_("what it was brought for is gone by now"))
    except Exception as error:
        log.exception("a file of kind %s could not be saved", row.kind)
        reason = getattr(error, "strerror", "") or str(error) or type(error).__name__
        return told.format(reason=reason)
    return ""


@contextmanager
def _seat(attempt: Attempt[BroughtFile]) -> Iterator[None]:
    """Wait until nothing else is saved, unless somebody cancels meanwhile."""
    while not _saving.acquire(timeout=0.2):
        attempt.hear({"at": _("waits until another file is done")})
        if not attempt.is_wanted:
            raise Cancelled
    try:
        if not attempt.is_wanted:
            raise Cancelled
        yield
    finally:
        _saving.release()


def _read(row: BroughtFile, attempt: Attempt[BroughtFile], result: Path) -> str:
    """Have a child read the file; why it could not, in words. Raises Cancelled, OSError."""
    reader = READERS[row.kind]
    order = {"kind": row.kind, "name": row.name, "limits": asdict(reader.limits), "result": str(result)}
    order |= {"texts": texts_of(row.language), "decimal_mark": decimal_mark()}
    said: dict[str, Any] = {}
    with kept.local([file_of(row)]) as (path,):
        child = start_child("contest.uploads.child", json.dumps(order | {"file": str(path)}))
        too_long = threading.Timer(reader.limits.wall_seconds, child.kill)
        too_long.daemon = True
        too_long.start()
        try:
            with child:
                attempt.ends_with(child)
                assert child.stdout is not None
                while line := child.stdout.readline(LONGEST_LINE):
                    said.update(_heard(line))
                    attempt.hear({"at": said.get("at", "")})
        finally:
            took_too_long = too_long.finished.is_set()
            too_long.cancel()
    if not attempt.is_wanted:
        raise Cancelled
    if child.returncode == 0 and result.stat().st_size <= reader.limits.written:
        return ""
    if "refused" not in said:
        return _met(child.returncode, said.get("limit"), took_too_long, reader)
    with suppress(FileNotFoundError), result.open(encoding="utf-8") as lines:
        if problems := [problem for line in lines for problem in json.loads(line)]:
            keep_problems_of(row, problems)
    return str(said["refused"])


def _met(returncode: int, limit: str | None, took_too_long: bool, reader: Reader) -> str:
    """Which limit a file met, and what to do about it."""
    limits = reader.limits
    if limit == "memory":
        told = _("Nothing was saved: reading it needs more than {most} MB of memory.")
        told = told.format(most=in_thousands(limits.memory // MEGABYTE))
    elif limit == "depth":
        told = _("Nothing was saved: it is nested too deep.")
    elif limit == "written" or returncode == 0:
        told = _("Nothing was saved: what is in it has more than {most} MB.").format(most=limits.written // MEGABYTE)
    elif took_too_long or returncode == -getattr(signal, "SIGXCPU", 0):
        told = _("Nothing was saved: reading it takes more than {most} seconds of the processor.")
        told = told.format(most=limits.seconds)
    else:
        told = _("Nothing was saved: it stopped whatever tried to read it.")
    return f"{told} {_(reader.mend)}"


def _heard(line: str) -> dict[str, Any]:
    try:
        said = json.loads(line)
    except ValueError:
        return {}
    return {name: str(said[name]) for name in ("at", "refused", "limit") if name in said}


line = Line(
    "uploads",
    Held.UPLOAD,
    lambda: BroughtFile.objects.all(),
    _work,
    waits=State.WAITING,
    runs=State.READING,
    progress=("at", "done", "of"),
    afresh={"at": "", "done": 0, "of": 0},
    most_attempts=MOST_ATTEMPTS,
    in_vain={"state": State.FAILED, "trouble": IN_VAIN},  # its file goes with `contest.uploads.files.tidy`
    at_once=AT_A_TIME,
)
