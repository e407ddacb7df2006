"""Print jobs: each document is made in a process of its own, one after another, while the server goes on serving.

A child process reads the contest, makes the PDF and says on its output how far it is; it writes nothing to the
database. A thread of the line (`contest.jobs`) starts the children and hears what they say. A child ends with the
process that started it, and the job is made anew. Where several processes serve, the file goes into the store of all
before the word that it is ready (`shared.py`).
"""

from __future__ import annotations

import json
import subprocess
import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.translation import get_language, gettext_noop

from contest import kept
from contest.background import start_child
from contest.changes import changes
from contest.changes.held import Held
from contest.jobs import Attempt, Line
from contest.models import Contest
from scoring.models import PrintJob
from scoring.prints import shared
from scoring.prints.changed import remember
from scoring.prints.choice import Choice, choice_from
from scoring.prints.document import Document
from scoring.prints.folders import drop, not_written, private

State = PrintJob.State
OPEN = (State.WAITING, State.RUNNING)

KEPT = 30
"""Jobs of a contest that are kept with their files, the newest ones."""

WITHOUT_A_WORD = gettext_noop("The process that made it stopped without a word.")

WAITS_AFTER = 6
"""Seconds without a word from a child, who says each page, until we say that it waits for the machine."""

MOST_ATTEMPTS = 5
IN_VAIN = gettext_noop("Each process that made this ended before it was ready. Print it again, or something smaller.")


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
    line.ordered()
    return job


@changes
def cancel_job(job: PrintJob) -> bool:
    """Stop a job that waits or is being made; says whether there was anything to stop."""
    stopped = PrintJob.objects.filter(pk=job.pk, state__in=OPEN).update(**_ended(State.CANCELLED))
    if stopped:
        line.cancelled(job.pk)
    return bool(stopped)


@changes
def forget_job(job: PrintJob) -> None:
    """Take a finished job off the list, with its file."""
    if PrintJob.objects.filter(pk=job.pk).exclude(state__in=OPEN).delete()[0]:
        kept.drop(shared.name_of(job))


class SoFar(NamedTuple):
    """How many pages of a job are laid out, and about how many it will have; how many hundredths are prepared of what
    they share, None where they share nothing. Zeros where nothing is known yet."""

    done: int
    total: int
    prepared: int | None


def so_far(job: PrintJob) -> SoFar:
    attempt = line.attempts.get(job.pk)
    said = attempt.said if attempt else {}
    return SoFar(said.get("done", job.done), said.get("total", job.total), said.get("prepared"))


def waits_for_the_machine(job: PrintJob) -> bool:
    """Whether a job is being made and has not come further for a while: the laptop is busy with other work."""
    attempt = line.attempts.get(job.pk)
    return bool(attempt and attempt.heard_at and time.monotonic() - attempt.heard_at > WAITS_AFTER)


def fetched(job: PrintJob) -> Path | None:
    """The file of a job that is done; None where it is gone."""
    path = file_of(job)
    if settings.SEVERAL and not path.exists():
        shared.fetch(job, path)
    return path if path.exists() else None


def file_of(job: PrintJob) -> Path:
    """Where a job's file is, once it is done."""
    return _folder() / shared.file_name(job)


def _folder() -> Path:
    return Path(settings.DATA_FOLDER) / "prints"


def throw_away() -> None:
    """Remove the files that no job has any more: there are names in them."""
    files = {path.name: path for path in _folder().glob("*.*")}
    for name in shared.of_no_job(files):
        drop(files[name])
    if settings.SEVERAL:
        shared.throw_away()


def _work(job: PrintJob, attempt: Attempt[PrintJob]) -> None:
    try:
        _make(job, attempt)
    except OSError as error:
        attempt.write(**_ended(State.FAILED, problem=not_written(error)))


def _make(job: PrintJob, attempt: Attempt[PrintJob]) -> None:
    path = _folder() / shared.made_as(job, attempt.number)
    private(path.parent.parent, path.parent.name)
    try:
        with _child(job, path) as child:
            attempt.ends_with(child)
            assert child.stdout is not None
            for said in child.stdout:
                attempt.hear(heard(said, "revision", "done", "total", "prepared", "problem", "said"))
        facts = {name: fact for name, fact in attempt.said.items() if name not in ("prepared", "said")}
        if child.returncode == 0:
            if _done(job, attempt, path, facts):
                remember(job.contest, job.document, attempt.said.get("said", {}))
        else:
            attempt.write(**_ended(State.FAILED, **{"problem": WITHOUT_A_WORD, **facts}))
    finally:
        if not PrintJob.objects.filter(pk=job.pk, state=State.DONE, file=path.name).exists():
            drop(path)
            drop(path.with_suffix(".half"))


def _done(job: PrintJob, attempt: Attempt[PrintJob], path: Path, facts: Mapping[str, Any]) -> bool:
    if settings.SEVERAL:
        shared.keep(path)
    return attempt.write(**_ended(State.DONE, file=path.name, **facts))


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


def _ended(state: str, **facts: Any) -> dict[str, Any]:
    return {"state": state, "finished_at": timezone.now(), **facts}


line = Line(
    "prints",
    Held.PRINT,
    PrintJob.objects.all,
    _work,
    waits=State.WAITING,
    runs=State.RUNNING,
    progress=("done", "total"),
    afresh={"done": 0, "total": 0},
    most_attempts=MOST_ATTEMPTS,
    in_vain={"state": State.FAILED, "problem": IN_VAIN},
)
go_on = line.go_on
