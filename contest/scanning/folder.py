"""Where pages lie until they are read: a folder of the store for each scan. No file is named after what somebody called
it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from contextlib import suppress
from typing import Any, Protocol

from contest import kept
from contest.models import Contest, Scan

ALL = "scans"
NEW = 600.0
"""Seconds in which a file may lie there before the row of its scan does."""


class File(Protocol):
    """A file that somebody brought: its SHA-256, and how it comes to lie at a place of our own."""

    def digest(self) -> str: ...
    def keep_as(self, name: str) -> None: ...


class Uploaded:
    """A file that came in one request."""

    def __init__(self, file: Any) -> None:
        self.file = file

    def digest(self) -> str:
        digest = hashlib.sha256()
        for chunk in self.file.chunks():
            digest.update(chunk)
        return digest.hexdigest()

    def keep_as(self, name: str) -> None:
        kept.keep(name, self.file)


def folder_of(scan: Scan) -> str:
    return f"{ALL}/{scan.contest_id}-{scan.digest[:32]}"


def files_of(scan: Scan) -> list[str]:
    """Its files, in the order in which they were brought; none once it is done, or on a laptop that took over."""
    return kept.names_in(folder_of(scan))


def digest_of(digests: Sequence[str]) -> str:
    """What a scan is known by: the SHA-256 of its one file; of several, that of their digests, a line each."""
    return digests[0] if len(digests) == 1 else hashlib.sha256("\n".join(digests).encode()).hexdigest()


def keep(scan: Scan, files: Iterable[File]) -> None:
    """Write down what was brought. Raises OSError."""
    drop(scan)
    for place, file in enumerate(files):
        file.keep_as(f"{folder_of(scan)}/{place:05}")


def drop(scan: Scan) -> None:
    """Remove the files of a scan: names stand on the pages."""
    with suppress(OSError):
        kept.drop_folder(folder_of(scan))


def files_of_all(contest: Contest) -> list[str]:
    """Those of all its scans."""
    mine = [folder for folder in kept.folders_in(ALL) if folder.startswith(f"{ALL}/{contest.pk}-")]
    return [name for folder in mine for name in kept.names_in(folder)]


def tidy() -> None:
    """Remove the folders of scans that nobody waits for any more."""
    wanted = {folder_of(scan) for scan in Scan.objects.exclude(state__in=[Scan.State.DONE, Scan.State.CANCELLED])}
    for folder in set(kept.folders_in(ALL)) - wanted:
        if all(kept.age_of(name) > NEW for name in kept.names_in(folder)):
            kept.drop_folder(folder)
