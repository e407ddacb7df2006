"""The files of print jobs where several processes serve one database."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterable
from pathlib import Path

from contest import kept
from scoring.models import PrintJob
from scoring.prints.folders import private

FOLDER = "prints"
NAME = re.compile(r"(\d+)(-\d+)?\.\w+")


def keep(path: Path) -> None:
    """Put the file of a job where all find it, before anybody is told that it is done."""
    with path.open("rb") as made:
        kept.keep(f"{FOLDER}/{path.name}", made)


def fetch(job: PrintJob, path: Path) -> None:
    """Write the file of a job to `path`, whole; nothing where it is gone."""
    private(path.parent.parent, path.parent.name)
    half = path.with_name(f"{path.stem}-{secrets.token_hex(8)}.half")
    try:
        kept.fetch(name_of(job), half)
        half.replace(path)
    except FileNotFoundError:
        pass
    finally:
        half.unlink(missing_ok=True)


def throw_away() -> None:
    """Let go of the files that no job has any more."""
    names = {Path(name).name: name for name in kept.names_in(FOLDER)}
    for file in of_no_job(names):
        kept.drop(names[file])


def of_no_job(files: Iterable[str]) -> list[str]:
    """Which of these are files of jobs that are gone, or of a try at one that another made first."""
    jobs = {file: int(found[1]) for file in files if (found := NAME.fullmatch(file))}
    known = dict(PrintJob.objects.filter(pk__in=jobs.values()).values_list("pk", "file"))
    return [file for file, pk in jobs.items() if pk not in known or known[pk] not in ("", file)]


def name_of(job: PrintJob) -> str:
    """What the file of a job is called in the store."""
    return f"{FOLDER}/{file_name(job)}"


def file_name(job: PrintJob) -> str:
    return job.file or made_as(job, attempt=1)


def made_as(job: PrintJob, attempt: int) -> str:
    """Each try at a job has a file of its own, so that nobody who was cut off and has been replaced writes over it."""
    return f"{job.pk}.pdf" if attempt == 1 else f"{job.pk}-{attempt}.pdf"
