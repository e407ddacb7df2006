"""Pages on their way: they wait for their turn, and a process of its own reads them, one file after another.

A thread of the server starts the process and hears what it found; what each page comes to is saved before the next is
heard, so that whatever stops it, the laptop too, it goes on at the page that it had reached (`contest.jobs`).

No page waits for the disk (`contest.changes.lasting`): the next reading or decision of anybody's has it keep all before
it, and so has the end of the pages. So a power cut may take the last pages, or the last cards of one, each with its
reading and the trail's word of it; how far the pages were goes with them. Their files lie there until the end is on the
disk: they are read again, to the same readings. What somebody decided because of such a card is never without it.
"""

from __future__ import annotations

import json
import logging
import subprocess
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from contest import kept
from contest.background import Limits, start_child
from contest.changes import changes, take_turn
from contest.changes.desks_first import let_desks_go_first
from contest.changes.exceptions import NotPossible
from contest.changes.held import Held
from contest.changes.lasting import lasting_with_the_next, put_away
from contest.jobs import Attempt, Line
from contest.models import SCANNER, Contest, Scan, Touches
from contest.scanning.folder import File, digest_of, drop, files_of, keep, tidy
from contest.scanning.taking import Seen, asked_by_cards, take_page
from contest.scanning.troubles import HALTS
from contest.scanning.whose import secret_of
from contest.trail import record_change, sentence

log = logging.getLogger(__name__)

State = Scan.State
OPEN = (State.READING, State.WAITING)

MEGABYTE = 1_000_000
LIMITS = Limits(seconds=3600, memory=2000 * MEGABYTE, written=MEGABYTE)
"""What the process may use for all pages of a scan; it writes no file."""
A_PAGE = 60.0
"""Seconds by the clock that one page may take."""
LONGEST_LINE = 4_000_000
"""Characters that are said of one page: 40 cards, each with its picture."""

PAGES_TO_PUT_AWAY = 5
"""After so many, with a megabyte, they are put from the log into the database's file."""


def bring(contest: Contest, files: Sequence[File], name: str, by: str, digests: Sequence[str] = ()) -> Scan:
    """Take in pages to be read, in the order of the files. Those that were stopped or cancelled before go on where
    they stopped. `digests` are those of the files where they are known. Raises NotPossible where they were read, or
    wait, already, and OSError."""
    digest = digest_of(digests or [file.digest() for file in files])
    scan = Scan(contest=contest, digest=digest, name=name[:200], by=by)
    _refuse_known(scan)
    keep(scan, files)
    return _order(scan)


def _refuse_known(scan: Scan) -> None:
    known = Scan.objects.filter(contest=scan.contest, digest=scan.digest)
    if known.exclude(state__in=[State.FAILED, State.CANCELLED]).exists():
        raise NotPossible(_("these very pages were brought before: each card counts once"))


@changes
def _order(scan: Scan) -> Scan:
    take_turn(scan.contest_id)
    _refuse_known(scan)
    known = Scan.objects.filter(contest=scan.contest, digest=scan.digest).first()
    if known:
        scan = known
        Scan.objects.filter(pk=scan.pk).update(state=State.WAITING, trouble="")
    else:
        scan.save()
    _record(scan, scan.by, "scan_brought")
    _set_to_work()
    return scan


@changes
def cancel(scan: Scan, by: str) -> bool:
    """Stop reading pages; what was read of them stays. Says whether there was anything to stop."""
    take_turn(scan.contest_id)
    if not Scan.objects.filter(pk=scan.pk, state__in=OPEN).update(state=State.CANCELLED):
        return False
    scan.refresh_from_db()
    _record(scan, by, "scan_cancelled", page=scan.page)
    transaction.on_commit(lambda: _drop_unread(scan))
    line.cancelled(scan.pk)
    return True


@changes
def try_again(scan: Scan, by: str, skip: bool = False) -> bool:
    """Go on with pages that were stopped, leaving out the one where they were if it is to be skipped. False where they
    were not stopped."""
    take_turn(scan.contest_id)
    if not Scan.objects.filter(pk=scan.pk, state=State.FAILED).update(state=State.WAITING, trouble=""):
        return False
    scan.refresh_from_db()
    if skip:
        Scan.objects.filter(pk=scan.pk).update(page=scan.page + 1, skipped=scan.skipped + 1)
        _record(scan, by, "scan_page_skipped", page=scan.page + 1)
    _set_to_work()
    return True


def _record(scan: Scan, by: str, code: str, **values: Any) -> None:
    """The trail keeps the whole digest of the pages."""
    what = sentence(code, pages=str(scan), **values)
    record_change(scan.contest, by, what, after={"sha256": scan.digest}, touches=Touches.NOTHING)


def _set_to_work() -> None:
    line.ordered()
    transaction.on_commit(lambda: go_on())


def _drop_unread(scan: Scan) -> None:
    """One that is being read keeps its files until that has ended."""
    if scan.pk not in line.attempts:
        drop(scan)


def go_on() -> None:
    """Make sure that somebody works on the pages that wait."""
    line.go_on()


def _rows() -> QuerySet[Scan]:
    return Scan.objects.filter(contest__deleted_at=None).select_related("contest")


def _read(scan: Scan, attempt: Attempt[Scan]) -> None:
    trouble = "gone"
    if files_of(scan):
        try:
            trouble = _hear(scan, attempt)
        except (OSError, ValueError, KeyError, TypeError):
            log.exception("the pages of scan %s could not be read", scan.pk)
            trouble = "died"
    _finish(scan, attempt, trouble)


@changes
def _finish(scan: Scan, attempt: Attempt[Scan], trouble: str) -> None:
    take_turn(scan.contest_id)
    finished = attempt.write(state=State.FAILED if trouble else State.DONE, trouble=trouble)
    if finished:
        scan.refresh_from_db()
        more = {"page": scan.page} if trouble else {"count": scan.pages}
        _record(scan, SCANNER, "scan_stopped" if trouble else "scan_read", **more)
    # Somebody who was cut off and has been replaced leaves the files to whoever reads them now.
    if (finished and not trouble) or Scan.objects.filter(pk=scan.pk, state=State.CANCELLED).exists():
        transaction.on_commit(lambda: drop(scan))


def _hear(scan: Scan, attempt: Attempt[Scan]) -> str:
    """Have a process read the pages, and take each as it comes; the code of what went wrong, or nothing."""
    with kept.local(files_of(scan)) as paths:
        return _hear_of(scan, attempt, [str(path) for path in paths])


def _hear_of(scan: Scan, attempt: Attempt[Scan], files: list[str]) -> str:
    order = {"files": files, "after": scan.page, "limits": asdict(LIMITS)}
    order |= {"secret": secret_of(scan.contest).hex(), "asked": asked_by_cards(scan.contest)}
    child = start_child("contest.scanning.child", json.dumps(order))
    slow = threading.Event()
    trouble = ""
    with child, _within(A_PAGE, child, slow) as heard, lasting_with_the_next():
        attempt.ends_with(child)
        assert child.stdout is not None
        while told := child.stdout.readline(LONGEST_LINE):
            heard()
            let_desks_go_first()
            said = json.loads(told)
            trouble = said.get("trouble", "")
            if "pages" in said:
                attempt.write(pages=int(said["pages"]))
            elif not trouble and not _take(scan, said):
                child.terminate()
                break
            elif int(said.get("page", 0)) % PAGES_TO_PUT_AWAY == 0:
                put_away()
    if slow.is_set():
        return "too_long"
    if trouble:
        return trouble if trouble in HALTS else "died"
    return "died" if child.returncode else ""


def _take(scan: Scan, said: dict[str, Any]) -> bool:
    """Save a page; everybody else has twice as long as each part of it took."""
    cards = [Seen.of(card) for card in said["cards"]]
    return take_page(scan, int(said["page"]), cards, rest=lambda seconds: time.sleep(min(1.0, 2 * seconds)))


@contextmanager
def _within(seconds: float, child: subprocess.Popen[str], slow: threading.Event) -> Iterator[Any]:
    """End a process that is not heard for so long; what it gives is called whenever it was."""
    last = [time.monotonic()]
    over = threading.Event()

    def watch() -> None:
        while not over.wait(min(0.5, seconds)):
            if time.monotonic() - last[0] > seconds:
                slow.set()
                child.kill()
                return

    def heard() -> None:
        last[0] = time.monotonic()

    threading.Thread(target=watch, name="scan-watch", daemon=True).start()
    try:
        yield heard
    finally:
        over.set()


line = Line("scans", Held.SCAN, _rows, _read, waits=State.WAITING, runs=State.READING, begin=tidy)
