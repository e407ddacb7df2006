"""Whoever makes the copies: beside the server, in the process of `up`, so that no desk waits.

A copy is made when something changed and the last one is five minutes old, at a milestone, and when it is asked for.
Where the folder of choice comes back, it gets a copy at once. All spells are counted by a clock that nobody puts back.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.contrib.auth.models import User
from django.db import DatabaseError, connection, connections
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.copies import dumps
from contest.copies.files import CopyFailed
from contest.copies.making import make_copy
from contest.copies.places import chosen_shelf, is_there, present_shelf, shelves
from contest.copies.report import BEAT, KeeperReport, write_report
from contest.copies.shelf import Copy, copies_in, sweep, thin
from contest.copies.wishes import grant, wishes
from contest.models import Contest, SiteTrail

log = logging.getLogger(__name__)

EVERY = 300.0  # seconds
LOOK_EVERY = 5.0
APART = 20.0
"""Milestones that follow one another closer than this share a copy."""
PATIENCE = 5.0
AGAIN_AFTER = 60.0
"""Seconds until the next try where a copy failed."""


def keep_copies(stop: threading.Event, every: float = EVERY) -> None:
    """Make copies until told to stop. Whatever goes wrong is told, and tried again."""
    keeper = Keeper(every)
    while True:
        try:
            keeper.turn()
        except Exception:  # copies must go on, whatever one turn met
            log.exception("a turn of the copies failed")
        if stop.wait(1.0):
            break
    connections.close_all()


@contextmanager
def copies_being_made() -> Iterator[None]:
    """Make copies for as long as the block runs, in a thread: all that takes long is done by a process of its own."""
    stop = threading.Event()
    thread = threading.Thread(target=keep_copies, args=[stop], name="copies", daemon=True)
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join(PATIENCE)  # a copy that is under way may end; one that takes longer is thrown away


def state_in_force() -> list[Any]:
    """What tells whether anything changed since a copy: where each trail ends, and who may sign in."""
    return [
        [[pk, head] for pk, head in Contest.every.order_by("pk").values_list("pk", "trail_head")],
        SiteTrail.objects.values_list("trail_head", flat=True).first(),
        [list(row) for row in User.objects.order_by("pk").values_list("pk", "password")],
    ]


class Keeper:
    def __init__(self, every: float = EVERY):
        self.every = every
        self.shelf: Path | None = None
        self.newest: Copy | None = None
        self.made_at: float | None = None  # by the monotonic clock, as all times here
        self.tried_at: float | None = None
        self.looked_at: float | None = None
        self.told_at: float | None = None
        self.changed_at: float | None = None
        self.trouble = ""
        self.state: list[Any] = []

    def turn(self) -> None:
        now = time.monotonic()
        asked = wishes()
        if self._since(self.looked_at, now) >= LOOK_EVERY or asked:
            self.looked_at = now
            self._look(now)
        if asked and self._since(self.tried_at, now) >= (AGAIN_AFTER if self.trouble else APART):
            self._make("; ".join(dict.fromkeys(asked.values())))
            if not self.trouble:
                grant(asked)
        elif self._is_due(now):
            self._make(gettext_noop("after changes") if self.newest else gettext_noop("the first one here"))
        elif self._since(self.told_at, now) >= BEAT:
            self._tell()

    def _look(self, now: float) -> None:
        """Where copies go now, which is the newest there, and whether anything changed since."""
        shelf = present_shelf()
        if shelf != self.shelf:
            self.shelf = shelf
            sweep(shelf)
            self._know(next(iter(copies_in(shelf)), None))
            self.tried_at = None  # the other shelf may be hours behind
        try:
            self.state = state_in_force()
        except DatabaseError as error:
            self.trouble = _("the database cannot be read: {error}").format(error=error)
            return
        finally:
            connection.close()
        if self.newest and self.newest.state == self.state:
            self.changed_at = None
        elif self.changed_at is None:
            self.changed_at = now

    def _know(self, copy: Copy | None) -> None:
        self.newest = copy
        age = max(timedelta(0), timezone.now() - copy.at).total_seconds() if copy else 0
        self.made_at = time.monotonic() - age if copy else None

    def _is_due(self, now: float) -> bool:
        if self.changed_at is None:
            return False
        if self.trouble:
            return self._since(self.tried_at, now) >= min(AGAIN_AFTER, self.every)
        return self._since(self.tried_at, now) >= self.every

    def _make(self, why: str) -> None:
        assert self.shelf is not None
        self.tried_at = time.monotonic()
        state, self.trouble = self.state, ""
        self._tell(making=True)
        try:
            copy = make_copy(self.shelf, why, state, besides=shelves())
            thin(self.shelf, timezone.localtime())
            self._know(copy)
            self.changed_at = None
        except (CopyFailed, OSError) as error:
            self.trouble = str(error)
            log.warning("a copy failed: %s", error)
        finally:
            connection.close()
        self.looked_at = None  # something may have changed while it was made
        self._tell()

    def _tell(self, making: bool = False) -> None:
        now = self.told_at = time.monotonic()
        chosen = chosen_shelf()
        away = str(chosen.parent) if chosen and not is_there(chosen) else ""
        told = KeeperReport(
            number=self.newest.number if self.newest else 0,
            at=self.newest.at.isoformat() if self.newest else "",
            age=None if self.made_at is None else now - self.made_at,
            behind=0.0 if self.changed_at is None else now - self.changed_at,
            shelf=str(self.shelf),
            away=away,
            trouble=self.trouble or ("" if connection.vendor == "sqlite" or dumps.can_dump() else _(dumps.NO_TOOL)),
            making=making,
        )
        try:
            write_report(told)
        except OSError as error:
            log.warning("nothing could be told of the copies: %s", error)

    @staticmethod
    def _since(moment: float | None, now: float) -> float:
        return float("inf") if moment is None else now - moment
