"""Where pages lie until they are read: a folder for each scan. No file is named after what somebody called it."""

from __future__ import annotations

import hashlib
import shutil
import time
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Protocol

from django.conf import settings

from contest.models import Contest, Scan

NEW = 600.0
"""Seconds in which a folder may lie there before the row of its scan does."""


class File(Protocol):
    """A file that somebody brought: its SHA-256, and how it comes to lie at a place of our own."""

    def digest(self) -> str: ...
    def keep_as(self, path: Path) -> None: ...


class Chunks(Protocol):
    """An uploaded file, as Django has it."""

    def chunks(self) -> Iterator[bytes]: ...


class Uploaded:
    """A file that came in one request."""

    def __init__(self, file: Chunks) -> None:
        self.file = file

    def digest(self) -> str:
        digest = hashlib.sha256()
        for chunk in self.file.chunks():
            digest.update(chunk)
        return digest.hexdigest()

    def keep_as(self, path: Path) -> None:
        with path.open("wb") as copy:
            copy.writelines(self.file.chunks())


def folder_of(scan: Scan) -> Path:
    return _all() / f"{scan.contest_id}-{scan.digest[:32]}"


def files_of(scan: Scan) -> list[Path]:
    """Its files, in the order in which they were brought; none once it is done, or on a laptop that took over."""
    return sorted(folder_of(scan).glob("*"))


def digest_of(digests: Sequence[str]) -> str:
    """What a scan is known by: the SHA-256 of its one file; of several, that of their digests, a line each."""
    return digests[0] if len(digests) == 1 else hashlib.sha256("\n".join(digests).encode()).hexdigest()


def keep(scan: Scan, files: Iterable[File]) -> None:
    """Write down what was brought. Raises OSError."""
    drop(scan)
    folder = folder_of(scan)
    folder.mkdir(mode=0o700, parents=True)
    for place, file in enumerate(files):
        file.keep_as(folder / f"{place:05}")


def drop(scan: Scan) -> None:
    """Remove the files of a scan: names stand on the pages."""
    shutil.rmtree(folder_of(scan), ignore_errors=True)


def folders_of(contest: Contest) -> list[Path]:
    """Those of all its scans."""
    return list(_all().glob(f"{contest.pk}-*"))


def tidy() -> None:
    """Remove the folders of scans that nobody waits for any more."""
    wanted = {folder_of(scan).name for scan in Scan.objects.exclude(state__in=[Scan.State.DONE, Scan.State.CANCELLED])}
    for folder in _all().glob("*"):
        if folder.name not in wanted and folder.stat().st_mtime < time.time() - NEW:
            shutil.rmtree(folder, ignore_errors=True)


def _all() -> Path:
    return Path(settings.DATA_FOLDER) / "scans"
