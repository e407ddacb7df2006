"""The files of print jobs where several processes serve one database."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from scoring.models import PrintedFile, PrintJob
from scoring.prints.folders import private


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
