"""Whoever keeps the web copy as it should be: a thread of the serving process.

Once a second it looks whether any contest changed. What may not be read any more is taken away at once; what changed
is written by a process of its own, one contest after another, and until that is done the old state is handed out. Of
several processes that share the folder one does it, and another one once that has ended.
"""

from __future__ import annotations

import json
import logging
import subprocess
import threading
import time
from pathlib import Path

from django.conf import settings
from django.db import OperationalError, connections
from django.db.models import Count, Sum
from django.utils.translation import gettext as _
from filelock import FileLock, Timeout

from contest.background import start_child
from contest.models import Contest
from scoring.results.links import links_of
from scoring.results.web_copy.pages import readable_now, state_of
from scoring.results.web_copy.places import (
    PARTS,
    CannotBeKept,
    contests_in,
    keep_addresses,
    prepare,
    say_trouble,
    state_in_force,
    take_down,
)

log = logging.getLogger(__name__)

LOOK_EVERY = 1.0
LOOK_AT_ALL_EVERY = 20.0
"""Seconds after which all are looked at although none has changed: the time for protests runs out by itself."""
AGAIN_AFTER = 30.0
"""Seconds until the next try where the pages of a contest could not be written."""


def keep_web_copy(stop: threading.Event) -> None:
    """Keep the chosen folder until told to stop; where none was chosen, there is nothing to do."""
    folder = settings.WEB_COPY_FOLDER
    if folder is None:
        return
    keeper = Keeper(folder)
    while not stop.wait(LOOK_EVERY):
        try:
            prepare(folder)
            lock = FileLock(folder / "kept-by-one.lock", mode=0o644)
            with lock.acquire(blocking=False):
                while not stop.wait(LOOK_EVERY):
                    keeper.turn()
        except Timeout:
            continue
        except CannotBeKept as problem:
            log.error("TANBARK_WEB_COPY: %s", problem)
            return  # Results says so
        except Exception as problem:  # a disk that is full, a database that is away: tried again
            is_away = isinstance(problem, OperationalError)
            log.error("a turn of the web copy failed: %s", problem, exc_info=not is_away)
        finally:
            keeper.end()
            connections.close_all()


class Keeper:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.seen: tuple[int, int] | None = None
        self.looked_at = 0.0
        self.child: subprocess.Popen[str] | None = None
        self.writes = 0  # the contest that the child writes
        self.tried: dict[int, float] = {}

    def turn(self) -> None:
        """Look, take away what may not be there, and see to it that what is to be written is being written."""
        if self.child and self.child.poll() is not None:
            self._ended(self.child)
        seen = self._changes()
        if seen == self.seen and time.monotonic() - self.looked_at < LOOK_AT_ALL_EVERY:
            return
        to_write = self._look()
        if to_write and not self.child:
            self._start(to_write[0])
        if not to_write:
            self.seen, self.looked_at = seen, time.monotonic()

    def end(self) -> None:
        if self.child:
            with self.child as child:
                child.kill()
            self.child = None

    @staticmethod
    def _changes() -> tuple[int, int]:
        """Differs once any contest has changed, come or gone, by one query that costs little."""
        told = Contest.objects.aggregate(count=Count("pk"), revisions=Sum("revision"))
        return told["count"], told["revisions"] or 0

    def _look(self) -> list[int]:
        """The contests that are to be written, after all is taken away that may not be there."""
        contests = {contest.pk: contest for contest in Contest.objects.filter(releases__withdrawn_at=None).distinct()}
        to_write = []
        for pk in sorted(contests_in(self.folder) | contests.keys()):
            contest = contests.get(pk)
            state = state_of(contest) if contest else ""
            stale = [part for part in PARTS if state_in_force(self.folder, pk, part) != state]
            allowed = [part for part in stale if contest and readable_now(contest, part)]
            for part in stale:
                if part not in allowed:
                    take_down(self.folder, pk, part)
            if contest and "homes" in allowed:  # a link that was withdrawn leads nowhere before all else is written
                keep_addresses(self.folder, pk, {link.token for link in links_of(contest)})
            if allowed and time.monotonic() - self.tried.get(pk, -AGAIN_AFTER) >= AGAIN_AFTER:
                to_write.append(pk)
        return to_write

    def _start(self, pk: int) -> None:
        order = {
            "contest": pk,
            "folder": str(self.folder),
            "database": str(settings.DATABASES["default"]["NAME"]),
            "styles": settings.STORAGES["staticfiles"],
        }
        self.writes = pk
        self.child = start_child("scoring.results.web_copy.child", json.dumps(order))

    def _ended(self, child: subprocess.Popen[str]) -> None:
        said, _errors = child.communicate()
        self.child = None
        problem = "" if child.returncode == 0 else said.strip() or _("it ended without a word")
        if problem:
            self.tried[self.writes] = time.monotonic()
            for part in PARTS:  # what is old may be wrong; the site itself shows what is right
                take_down(self.folder, self.writes, part)
        else:
            self.tried.pop(self.writes, None)
        say_trouble(self.folder, self.writes, problem)
