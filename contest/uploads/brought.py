"""A file that was brought, on its way: waiting for its turn, read by a child, then saved by a thread of the server.

What is on its way is kept in the memory of the process that it came to, which waits for it within the request where
several serve. A restart forgets it: nothing of it was saved, and the next one removes its files.
"""

from __future__ import annotations

import json
import logging
import shutil
import signal
import subprocess
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, Protocol
from uuid import UUID

from django.conf import settings
from django.db import DatabaseError, connections
from django.urls import reverse
from django.utils.translation import get_language, override
from django.utils.translation import gettext as _

from contest.background import start_child
from contest.book import Problem
from contest.changes import SubmissionReused
from contest.changes.desks_first import let_desks_go_first
from contest.changes.locks import MemoryLock
from contest.language.catalogs import texts_of
from contest.models.organisations import Reach, reach_now, reaching
from contest.records import sweep_abandoned
from contest.uploads.readers import MEGABYTE, READERS, Reader
from scoring.core.points import in_thousands
from scoring.core.texts import decimal_mark

log = logging.getLogger(__name__)

AT_ONCE = 1.0
"""Seconds for which a request waits for a file: most are read in less. It holds one of the server's few threads."""
AS_LONG_AS_IT_TAKES = 600.0
"""The same where several processes serve: what is on its way is known to this one alone, and the next request may come
to another."""
AT_A_TIME = 2
"""Files that are read at once; more wait."""
MOST_OPEN = 8
MOST_WAITED_FOR = 4
"""Files on their way, and those that hold a thread each where several processes serve."""
LONGEST_LINE = 10_000
"""Characters of what a child says."""
REST = 0.002
"""Seconds between two lines that are taken in, for everybody else."""
KEPT = 16
"""That are remembered; older ones are forgotten once they are over."""

WAITING, READING, SAVING = "waiting", "reading", "saving"
DONE, FAILED, CANCELLED = "done", "failed", "cancelled"
OVER = (DONE, FAILED, CANCELLED)


class NotNow(Exception):
    """Raised for a file that cannot be taken in at this moment, in words for whoever brought it."""


class Cancelled(Exception):
    """Raised within the work on a file that somebody cancelled."""


class File(Protocol):
    """An uploaded file, as Django has it."""

    name: str | None

    def chunks(self) -> Iterator[bytes]: ...


@dataclass(eq=False)
class Brought:
    """One file and how far it is. `finish` does what is to be done with the lines that were read, and returns the
    address to go on to; `back` is where another file can be brought; `language` and `reach` are of whoever brought
    it."""

    key: UUID
    kind: str
    name: str
    content: Any
    back: str
    finish: Callable[[Brought], str]
    language: str = field(default_factory=get_language)
    reach: Reach | None = field(default_factory=reach_now)
    state: str = WAITING
    at: str = ""
    done: int = 0
    of: int = 0
    trouble: str = ""
    problems: tuple[Problem, ...] = ()
    shown: Any = None
    leads_to: str = ""
    result: Any = None
    over: threading.Event = field(default_factory=threading.Event)
    child: subprocess.Popen[str] | None = None
    cancelled: bool = False

    @property
    def folder(self) -> Path:
        return _folder() / str(self.key)

    @property
    def is_over(self) -> bool:
        return self.state in OVER

    @property
    def address(self) -> str:
        """Where to go on: to what became of it, or to the page that shows how far it is."""
        return self.leads_to or reverse("upload", args=[self.key])

    @property
    def version(self) -> str:
        """Changes whenever the page of it does."""
        return f"{self.state}-{self.cancelled}-{self.at}-{self.done}".replace(" ", "-")

    def lines(self) -> Iterator[Any]:
        """What was read, a line each."""
        with (self.folder / "result").open(encoding="utf-8") as result:
            for line in result:
                yield json.loads(line)
                time.sleep(REST)
                let_desks_go_first()

    def tell(self, done: int, of: int) -> None:
        """Say how many rows are saved, of how many. Raises Cancelled where nobody wants them any more."""
        if self.cancelled:
            raise Cancelled
        self.done, self.of = done, of


_lock = MemoryLock()
# Seats: what is waited for before anything else, see `contest.changes.locks`.
_seats = threading.BoundedSemaphore(AT_A_TIME)
_saving = threading.BoundedSemaphore(1)
_on_the_way: OrderedDict[UUID, Brought] = OrderedDict()


def bring(key: UUID, kind: str, file: File, content: Any, back: str, finish: Callable[[Brought], str]) -> Brought:
    """Begin to read a file, and wait for it a moment; what came before with the same key and content is gone on with.

    Raises NotNow, SubmissionReused.
    """
    with _lock:
        known = _on_the_way.get(key)
        if known is None:
            most = MOST_WAITED_FOR if settings.SEVERAL else MOST_OPEN
            if sum(not other.is_over for other in _on_the_way.values()) >= most:
                told = _("{count} files are being read already. Try again when one of them is done.")
                raise NotNow(told.format(count=most))
            known = _on_the_way[key] = Brought(key, kind, file.name or "", content, back, finish)
            _forget_old_ones()
            is_new = True
        elif known.content != content:
            raise SubmissionReused(f"submission {key} was used for something else")
        else:
            is_new = False
    if is_new:
        _begin(known, file)
    known.over.wait(AS_LONG_AS_IT_TAKES if settings.SEVERAL else AT_ONCE)
    return known


def find(key: UUID) -> Brought | None:
    """What is on its way with a key, if whoever asks has the reach in which it was brought, or all."""
    with _lock:
        known = _on_the_way.get(key)
    return known if known and reach_now() in (None, known.reach) else None


def cancel(brought: Brought) -> None:
    """Stop working on it. What was saved of it so far goes away."""
    brought.cancelled = True
    child = brought.child
    if child:
        child.terminate()


def tidy() -> None:
    """Remove the files that nobody works on any more, since the server was stopped: there are names in them."""
    with _lock:
        known = {str(brought.key) for brought in _on_the_way.values() if not brought.is_over}
    for folder in _folder().glob("*"):
        if folder.name not in known:
            shutil.rmtree(folder, ignore_errors=True)


def forget_all() -> None:
    """Cancel and forget whatever is on its way."""
    with _lock:
        known = list(_on_the_way.values())
        _on_the_way.clear()
    for brought in known:
        cancel(brought)
    for brought in known:
        brought.over.wait(10)


def _begin(brought: Brought, file: File) -> None:
    try:
        _folder().mkdir(mode=0o700, parents=True, exist_ok=True)
        tidy()
        brought.folder.mkdir(mode=0o700)
        with (brought.folder / "file").open("wb") as copy:
            copy.writelines(file.chunks())
    except OSError as error:
        with _lock:
            del _on_the_way[brought.key]
        shutil.rmtree(brought.folder, ignore_errors=True)
        told = _("The data folder cannot be written to: {reason}. Mend that, then try again.")
        raise NotNow(told.format(reason=error.strerror)) from error
    threading.Thread(target=_work, args=(brought,), name=f"brought-{brought.kind}", daemon=True).start()


def _folder() -> Path:
    return Path(settings.DATA_FOLDER) / "uploads"


def _forget_old_ones() -> None:
    old = [key for key, brought in _on_the_way.items() if brought.is_over]
    for key in old[: max(0, len(_on_the_way) - KEPT)]:
        del _on_the_way[key]


def _work(brought: Brought) -> None:
    with override(brought.language), reaching(brought.reach):
        _work_on(brought)


def _work_on(brought: Brought) -> None:
    state = FAILED
    try:
        with _turn(brought, _seats):
            brought.state = READING
            read = _read(brought, READERS[brought.kind])
        if read:
            brought.state, brought.at = WAITING, ""
            with _turn(brought, _saving):
                brought.state = SAVING
                brought.leads_to = brought.finish(brought)
                state = DONE
    except Cancelled:
        state = CANCELLED
    except Exception as error:
        log.exception("a file of kind %s could not be saved", brought.kind)
        told = _("Nothing was saved: {reason}. Bring the file once more.")
        brought.trouble = told.format(reason=str(error) or type(error).__name__)
    finally:
        shutil.rmtree(brought.folder, ignore_errors=True)
        brought.state = state
        if brought.kind == "book":
            with suppress(DatabaseError), reaching(None):  # the next one tries again
                sweep_abandoned()
        connections.close_all()
        brought.over.set()


@contextmanager
def _turn(brought: Brought, seats: threading.Semaphore) -> Iterator[None]:
    """Wait for a seat, unless somebody cancels meanwhile."""
    while not seats.acquire(timeout=0.2):
        if brought.cancelled:
            raise Cancelled
    try:
        if brought.cancelled:
            raise Cancelled
        yield
    finally:
        seats.release()


def _read(brought: Brought, reader: Reader) -> bool:
    """Have a child read the file; whether it could. Raises Cancelled."""
    result = brought.folder / "result"
    order = {"kind": brought.kind, "name": brought.name, "limits": asdict(reader.limits)}
    order |= {"texts": texts_of(brought.language), "decimal_mark": decimal_mark()}
    paths = {"file": str(brought.folder / "file"), "result": str(result)}
    child = brought.child = start_child("contest.uploads.child", json.dumps(order | paths))
    if brought.cancelled:
        child.terminate()
    too_long = threading.Timer(reader.limits.wall_seconds, child.kill)
    too_long.daemon = True
    too_long.start()
    said: dict[str, Any] = {}
    try:
        with child:
            assert child.stdout is not None
            while line := child.stdout.readline(LONGEST_LINE):
                if brought.cancelled:
                    child.terminate()
                said.update(_heard(line))
                brought.at = said.get("at", "")
    finally:
        took_too_long = too_long.finished.is_set()
        too_long.cancel()
        brought.child = None
    if brought.cancelled:
        raise Cancelled
    if child.returncode == 0 and result.stat().st_size <= reader.limits.written:
        return True
    brought.trouble = said.get("refused") or _met(child.returncode, said.get("limit"), took_too_long, reader)
    if "refused" in said:
        brought.problems = tuple(Problem(*problem) for some in brought.lines() for problem in some)
    return False


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
