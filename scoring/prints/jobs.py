"""Print jobs: each document is made in a process of its own, one after another, while the server goes on serving.

A child process reads the contest, makes the PDF and says on its output how far it is; it writes nothing to the
database. One thread of the server starts the children and hears what they say; it keeps that in memory until a child is
done, since every write would take its turn among the cards. A child ends with the server that started it.

Several processes (`contest.serving.presence`) share the line. Whoever makes a job holds it (`contest.changes.held`)
and writes once a second how far it is, which tells it too that the job was cancelled elsewhere; a job that runs and
that nobody holds is put in line again, since whoever made it has ended. The file goes into the database with the word
that it is ready (`shared.py`).

`_lock` is over that memory, and is never held while anything is written (see `contest.changes.locks`).
"""

from __future__ import annotations

import json
import logging
import subprocess
import threading
import time
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings
from django.db import connection, connections, transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import get_language, gettext_noop

from contest.background import start_child
from contest.changes import changes, one_change
from contest.changes.held import Held, hold, let_go, notice_soon
from contest.changes.locks import MemoryLock
from contest.models import Contest
from contest.runner import Runner
from scoring.models import PrintJob
from scoring.prints import shared
from scoring.prints.changed import remember
from scoring.prints.choice import Choice, choice_from
from scoring.prints.document import Document
from scoring.prints.folders import drop, not_written, private

log = logging.getLogger(__name__)

State = PrintJob.State
OPEN = (State.WAITING, State.RUNNING)

KEPT = 30
"""Jobs of a contest that are kept with their files, the newest ones."""

WITHOUT_A_WORD = gettext_noop("The process that made it stopped without a word.")

WAITS_AFTER = 6
"""Seconds without a word from a child, who says each page, until we say that it waits for the machine."""

LOOK_EVERY = 2.0
"""Seconds between two looks of one of several processes at the line."""
THROW_AWAY_AFTER = 30
"""Looks."""

_lock = MemoryLock()
_children: dict[int, subprocess.Popen[str] | None] = {}  # None: about to begin
_heard_of: dict[int, dict[str, Any]] = {}
_heard_at: dict[int, float] = {}  # on the process's own clock


@changes
def order_job(contest: Contest, document: Document, choice: Choice, by: str) -> PrintJob:
    """Put a job at the end of the line, to be made in the language of this moment. Nothing of the contest changes, so
    the trail says nothing of it.
    """
    return _order_job(contest, document.name, choice, by)


@changes
def order_again(job: PrintJob, by: str) -> PrintJob:
    """Put the same document of the same choice in the line again, of the contest as it is now."""
    return _order_job(job.contest, job.document, choice_from(job.choice), by)


def in_this_language(choice: Choice) -> Choice:
    language = get_language() or ""
    return replace(choice, language="" if language == settings.LANGUAGE_CODE else language)


def _order_job(contest: Contest, document: str, choice: Choice, by: str) -> PrintJob:
    choice = in_this_language(choice)
    job = PrintJob.objects.create(
        contest=contest, document=document, choice=choice.as_json(), revision=contest.revision, by=by
    )
    old = contest.print_jobs.values_list("pk", flat=True)[KEPT:]
    PrintJob.objects.filter(pk__in=list(old)).exclude(state__in=OPEN).delete()
    transaction.on_commit(throw_away)
    return job


def go_on() -> None:
    """Make sure that somebody works on the jobs that wait: this process, unless others are there for that."""
    if not (settings.SEVERAL and shared.somebody_works()):
        runner.go_on()


def tidy(contest: Contest) -> None:
    """Jobs that no child works on any more, since the server was stopped, have failed; where several processes serve,
    they are put in line again."""
    if settings.SEVERAL:
        shared.put_lost_in_line_again()
        return
    running = list(contest.print_jobs.filter(state=State.RUNNING).values_list("pk", flat=True))
    with _lock:  # looked at after the rows: a job is in here before it is running
        lost = [pk for pk in running if pk not in _children]
    if lost:
        problem = gettext_noop("Tanbark was stopped while this was made. Print it again.")
        _finish(PrintJob.objects.filter(pk__in=lost, state=State.RUNNING), State.FAILED, problem=problem)


@changes
def cancel_job(job: PrintJob) -> bool:
    """Stop a job that waits or is being made; says whether there was anything to stop."""
    stopped = _finish(PrintJob.objects.filter(pk=job.pk, state__in=OPEN), State.CANCELLED)
    if stopped:
        # Once it is written down, or a child that begins at this moment would see neither this nor be seen.
        transaction.on_commit(partial(_stop_child, job.pk))
    return bool(stopped)


def _stop_child(pk: int) -> None:
    with _lock:
        child = _children.get(pk)
    if child:
        child.terminate()


@changes
def forget_job(job: PrintJob) -> None:
    """Take a finished job off the list, with its file."""
    if PrintJob.objects.filter(pk=job.pk).exclude(state__in=OPEN).delete()[0]:
        drop(file_of(job))


class SoFar(NamedTuple):
    """How many pages of a job are laid out, and about how many it will have; how many hundredths are prepared of what
    they share, None where they share nothing. Zeros where nothing is known yet."""

    done: int
    total: int
    prepared: int | None


def so_far(job: PrintJob) -> SoFar:
    said = _heard_of.get(job.pk, {})
    return SoFar(said.get("done", job.done), said.get("total", job.total), said.get("prepared"))


def waits_for_the_machine(job: PrintJob) -> bool:
    """Whether a job is being made and has not come further for a while: the laptop is busy with other work."""
    heard_at = _heard_at.get(job.pk)
    return heard_at is not None and time.monotonic() - heard_at > WAITS_AFTER


def fetched(job: PrintJob) -> Path | None:
    """The file of a job that is done; None where it is gone."""
    path = file_of(job)
    if settings.SEVERAL and not path.exists():
        shared.fetch(job, path)
    return path if path.exists() else None


def file_of(job: PrintJob) -> Path:
    """Where a job's file is, once it is done."""
    return _folder() / f"{job.pk}.pdf"


def _folder() -> Path:
    return Path(settings.DATA_FOLDER) / "prints"


def throw_away() -> None:
    """Remove the files that no job has any more: there are names in them."""
    files = [path for path in _folder().glob("*.*") if path.stem.isdecimal()]
    known = set(PrintJob.objects.filter(pk__in=[int(path.stem) for path in files]).values_list("pk", flat=True))
    for path in files:
        if int(path.stem) not in known:
            drop(path)


def _waiting() -> QuerySet[PrintJob]:
    return PrintJob.objects.filter(state=State.WAITING)


def _work(job: PrintJob) -> None:
    try:
        _make(job)
    except OSError as error:
        still_open = PrintJob.objects.filter(pk=job.pk, state__in=OPEN)
        _finish(still_open, State.FAILED, problem=not_written(error))


def _make(job: PrintJob) -> None:
    path = file_of(job)
    private(path.parent.parent, path.parent.name)
    said = _heard_of[job.pk] = {}
    with _lock:
        _children[job.pk] = None
    mine = PrintJob.objects.none()
    try:
        if not (attempt := _take(job)):
            return  # cancelled meanwhile, or another process makes it
        mine = PrintJob.objects.filter(pk=job.pk, state=State.RUNNING, attempt=attempt)
        with _lock:
            child = _children[job.pk] = _child(job, path)
            _heard_at[job.pk] = time.monotonic()
        if not mine.exists():
            child.terminate()  # cancelled before there was a child to stop
        with child:
            assert child.stdout is not None
            for line in child.stdout:
                said.update(heard(line, "revision", "done", "total", "prepared", "problem", "said"))
                now = time.monotonic()
                if settings.SEVERAL and int(now) != int(_heard_at[job.pk]) and not _tell(mine, said):
                    child.terminate()  # cancelled at another process
                _heard_at[job.pk] = now
        said.pop("prepared", None)
        if child.returncode == 0:
            sheets = said.pop("said", {})
            if _done(job, mine, path, said):
                remember(job.contest, job.document, sheets)
        else:
            said.pop("said", None)
            _finish(mine, State.FAILED, **{"problem": WITHOUT_A_WORD, **said})
    finally:
        with _lock:
            del _children[job.pk], _heard_of[job.pk]
            _heard_at.pop(job.pk, None)
        if not PrintJob.objects.filter(pk=job.pk, state=State.DONE).exists():
            drop(path)
            drop(path.with_suffix(".half"))
        if settings.SEVERAL:
            let_go(connection, Held.PRINT, job.pk)


def _take(job: PrintJob) -> int:
    """Begin to make it; which attempt this is, or 0 where it waits no more."""
    if settings.SEVERAL:
        notice_soon(connection)
        if not hold(connection, Held.PRINT, job.pk):
            time.sleep(1)  # whoever had it lets go at this moment
            return 0
    with one_change():
        waiting = PrintJob.objects.select_for_update(skip_locked=True).filter(pk=job.pk, state=State.WAITING)
        attempts = list(waiting.values_list("attempt", flat=True))
        if not attempts:
            return 0
        attempt = attempts[0] + 1
        PrintJob.objects.filter(pk=job.pk).update(state=State.RUNNING, attempt=attempt)
        return attempt


def _tell(mine: QuerySet[PrintJob], said: Mapping[str, Any]) -> bool:
    """Tell other processes how far it is; whether anybody wants it still."""
    with one_change():
        return bool(mine.update(done=said.get("done", 0), total=said.get("total", 0)))


def _done(job: PrintJob, mine: QuerySet[PrintJob], path: Path, said: Mapping[str, Any]) -> bool:
    with one_change():
        done = bool(_finish(mine, State.DONE, file=path.name, **said))
        if done and settings.SEVERAL:
            shared.keep(job, path)
        return done


def _child(job: PrintJob, path: Path) -> subprocess.Popen[str]:
    told = told_to_child(job.contest_id, job.document, job.choice, path)
    return start_child("scoring.prints.child", json.dumps(told))


def told_to_child(contest_id: int, document: str, choice: Mapping[str, Any], path: Path) -> dict[str, Any]:
    """What a child is told. The database and the data folder are those of this very process."""
    return {
        "contest": contest_id,
        "document": document,
        "choice": choice,
        "out": str(path),
        "database": str(settings.DATABASES["default"]["NAME"]),
        "data_folder": str(settings.DATA_FOLDER),
    }


def heard(line: str, *names: str) -> dict[str, Any]:
    """What a child says on a line, of what is waited for; nothing where it is no line of ours."""
    try:
        said = json.loads(line)
    except ValueError:
        return {}
    return {name: said[name] for name in names if name in said}


def _finish(jobs: Any, state: str, **facts: Any) -> int:
    with one_change():
        return int(jobs.update(state=state, finished_at=timezone.now(), **facts))


runner = Runner("prints", _lock, _waiting, _work)


def keep_going(stop: threading.Event, works: bool = False) -> None:
    """Where several processes serve, look after the line until told to stop; `works` says that this one is for that."""
    looked = 0
    while not stop.wait(LOOK_EVERY):
        try:
            shared.put_lost_in_line_again()
            if works or not shared.somebody_works():
                runner.go_on()
            if looked % THROW_AWAY_AFTER == 0:
                throw_away()  # of what was made or fetched here and is no job's any more
            looked += 1
        except Exception:  # a database that is away
            log.exception("the line of print jobs could not be looked after, and is again")
            connections.close_all()
    connections.close_all()
