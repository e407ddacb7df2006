"""The files of print jobs where several processes serve one database."""

from __future__ import annotations

import secrets
from pathlib import Path

from contest import kept
from scoring.models import PrintJob
from scoring.prints.folders import private

FOLDER = "prints"


def keep(job: PrintJob, path: Path) -> None:
    """Put the file of a job where all find it, before anybody is told that it is done."""
    with path.open("rb") as made:
        kept.keep(name_of(job), made)


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
    names = {Path(name).stem: name for name in kept.names_in(FOLDER)}
    files = {int(stem): name for stem, name in names.items() if stem.isdecimal()}
    known = set(PrintJob.objects.filter(pk__in=files).values_list("pk", flat=True))
    for pk in files.keys() - known:
        kept.drop(files[pk])


def name_of(job: PrintJob) -> str:
    """What the file of a job is called in the store."""
    return f"{FOLDER}/{job.pk}.pdf"
