"""Print jobs where several processes serve one database: whose they are, and their files."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from django.db import connection
from django.utils.translation import gettext_noop

from contest.changes import one_change
from contest.changes.held import Held, held_by_others
from scoring.models import PrintedFile, PrintJob
from scoring.prints.folders import private

State = PrintJob.State

MOST_ATTEMPTS = 3
IN_VAIN = gettext_noop("Each process that made this ended before it was ready. Print it again, or something smaller.")


def somebody_works() -> bool:
    """Whether there is a process for print jobs alone, as `manage.py work` is."""
    return bool(held_by_others(connection, Held.WORKS))


def put_lost_in_line_again() -> None:
    """Jobs that run and that nobody holds: whoever made them has ended. One that ends whoever makes it has failed."""
    running = list(PrintJob.objects.filter(state=State.RUNNING).values_list("pk", "attempt"))
    if not running:
        return
    # Looked at after the rows: it is held before it runs. One that this very connection holds is made by this thread.
    held = {number for number, _ in held_by_others(connection, Held.PRINT)}
    for pk, attempt in running:
        if pk not in held:
            lost = PrintJob.objects.filter(pk=pk, state=State.RUNNING, attempt=attempt)
            with one_change():
                if attempt < MOST_ATTEMPTS:
                    lost.update(state=State.WAITING, done=0, total=0)
                else:
                    lost.update(state=State.FAILED, problem=IN_VAIN)


def keep(job: PrintJob, path: Path) -> None:
    """Put the file of a job into the database, in the transaction that says that it is done."""
    PrintedFile.objects.create(job=job, content=path.read_bytes())


def fetch(job: PrintJob, path: Path) -> None:
    """Write the file of a job to `path`, whole; nothing where the database does not have it."""
    content = PrintedFile.objects.filter(job=job).values_list("content", flat=True).first()
    if content is None:
        return
    private(path.parent.parent, path.parent.name)
    handle, half = tempfile.mkstemp(suffix=".half", dir=path.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
    Path(half).replace(path)
