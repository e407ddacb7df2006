"""Pages on their way in: files that one request could not hold come in pieces, each written down as it comes.

A delivery is a folder that says which files are to come, and holds as much of them as has. Nothing else is kept, so
that it goes on after a cut network or a restart where it broke off: whoever brings the same files again, known by their
names, sizes and times, is told which piece is wanted next.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from uuid import NAMESPACE_OID, UUID, uuid5

from django.conf import settings
from django.utils.translation import gettext as _

from contest.changes.exceptions import NotPossible
from contest.disk.room import LITTLE_ROOM, megabytes, room_left
from contest.models import Contest
from contest.web.middleware import MEGABYTE

if TYPE_CHECKING:
    from _typeshed import SupportsRead

PIECE = 4 * MEGABYTE
"""Bytes of each piece but the last of a file: what a poor network brings over in some seconds."""
MOST_BYTES = 1024 * MEGABYTE
"""Of all files of a delivery: 3 000 pages in grey as an office scanner makes them."""
MOST_FILES = 500
MOST_AT_ONCE = 8
"""Deliveries of a contest that are not all here yet."""
KEPT = 24 * 3600.0
"""Seconds without a piece after which what is here of a delivery goes."""
CHUNK = 64 * 1024
ABOUT = "about.json"


class Declared(NamedTuple):
    """A file that is to come: its size in bytes, and when it was changed last, in milliseconds."""

    name: str
    size: int
    modified: int


class Piece(NamedTuple):
    """A part of a file: its place among the files, and bytes of that."""

    file: int
    at: int
    length: int


class Arrived:
    """A file of a delivery that is all here."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def digest(self) -> str:
        with self.path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()

    def keep_as(self, path: Path) -> None:
        self.path.replace(path)


@dataclass(frozen=True, slots=True)
class Delivery:
    """Files on their way to a contest; `by` names whoever sends them, `name` is what the first was called."""

    folder: Path
    name: str
    by: str
    sizes: tuple[int, ...]

    @property
    def key(self) -> UUID:
        return UUID(self.folder.name.split("-", 1)[1])

    @property
    def whole(self) -> int:
        return sum(self.sizes)

    @property
    def here(self) -> int:
        """Bytes of it that are here."""
        return sum(self._here(file) for file in range(len(self.sizes)))

    @property
    def wanted(self) -> Piece | None:
        """The piece that is to come next; None where all are here."""
        for file, size in enumerate(self.sizes):
            if (at := self._here(file)) < size:
                return Piece(file, at, min(PIECE, size - at))
        return None

    def files(self) -> list[Arrived]:
        return [Arrived(self._path(file)) for file in range(len(self.sizes))]

    def take(self, file: int, at: int, length: int, content: SupportsRead[bytes]) -> None:
        """Write a piece down. One that is here already is left alone; raises NotPossible for any but the one that is
        wanted, OSError, and FileNotFoundError where somebody gave the delivery up meanwhile."""
        wanted = self.wanted
        if wanted is None or (file, at) < wanted[:2]:
            return
        if (file, at) > wanted[:2]:
            raise NotPossible(_("a piece before this one has not come yet"))
        if length != wanted.length:
            told = _("this piece has {length} bytes where {wanted} were to come")
            raise NotPossible(told.format(length=length, wanted=wanted.length))
        path = self._path(file)
        with path.open("r+b" if path.exists() else "xb") as copy:
            copy.seek(at)
            shutil.copyfileobj(content, copy, CHUNK)
            if copy.tell() != at + length:
                copy.truncate(at)
                raise NotPossible(_("this piece did not arrive whole"))
            copy.flush()
            os.fsync(copy.fileno())

    def give_up(self) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)

    def _path(self, file: int) -> Path:
        return self.folder / f"{file:05}"

    def _here(self, file: int) -> int:
        """Bytes of a file that are here, in whole pieces: what a power cut left of one comes again."""
        try:
            size = self._path(file).stat().st_size
        except FileNotFoundError:
            return 0
        return size if size >= self.sizes[file] else size - size % PIECE


def begin(contest: Contest, by: str, files: Sequence[Declared]) -> Delivery:
    """Have files come in, in this order, or go on where that broke off. Raises NotPossible, before anything of them is
    sent, where there are too many, or too much for a delivery or for the disk; and OSError."""
    if not files or any(file.size <= 0 for file in files):
        raise NotPossible(_("a file that was chosen is empty"))
    if len(files) > MOST_FILES:
        raise NotPossible(_("bring at most {most} pictures at once").format(most=MOST_FILES))
    whole = sum(file.size for file in files)
    if whole > MOST_BYTES:
        told = _("that is more than {most} GB at once: bring the pages in several files")
        raise NotPossible(told.format(most=MOST_BYTES // (1024 * MEGABYTE)))
    drop_left_behind()
    known = json.dumps([contest.pk, by, *files])
    folder = _all() / f"{contest.pk}-{uuid5(NAMESPACE_OID, f'tanbark pages {known}')}"
    if delivery := _delivery(folder):
        os.utime(folder / ABOUT)
        return delivery
    others = deliveries_of(contest)
    if len(others) >= MOST_AT_ONCE:
        raise NotPossible(_("{most} others are on their way already: wait until one is here").format(most=MOST_AT_ONCE))
    room = room_left(_all()) - LITTLE_ROOM - sum(other.whole - other.here for other in others)
    if whole > room:
        told = _("that is {size}, and the laptop's disk has room for {room}: make room there, or bring fewer pages")
        raise NotPossible(told.format(size=megabytes(whole), room=megabytes(max(0, room))))
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    delivery = Delivery(folder, files[0].name[:200], by, tuple(file.size for file in files))
    about = {"name": delivery.name, "by": by, "sizes": delivery.sizes}
    (folder / f"{ABOUT}.new").write_text(json.dumps(about), encoding="utf-8")
    (folder / f"{ABOUT}.new").replace(folder / ABOUT)
    return delivery


def find(contest: Contest, by: str, key: UUID) -> Delivery | None:
    """A delivery of somebody's own; None where it was given up, or is another's."""
    delivery = _delivery(_all() / f"{contest.pk}-{key}")
    return delivery if delivery and delivery.by == by else None


def proved(delivery: Delivery, digests: Sequence[str]) -> list[str]:
    """The SHA-256 of each file, where they are as they were where they were sent from: `digests` say that. Raises
    NotPossible otherwise, and lets go of what does not agree."""
    if delivery.wanted:
        raise NotPossible(_("these pages are not all here yet"))
    here = [file.digest() for file in delivery.files()]
    if here != list(digests):
        delivery.give_up()
        raise NotPossible(_("the pages did not arrive as they were sent: nothing of them was kept, bring them again"))
    return here


def deliveries_of(contest: Contest) -> list[Delivery]:
    """Those that are on their way to a contest."""
    found = map(_delivery, sorted(_all().glob(f"{contest.pk}-*")))
    return [delivery for delivery in found if delivery]


def folders_of(contest: Contest) -> list[Path]:
    return list(_all().glob(f"{contest.pk}-*"))


def drop_left_behind(kept: float = KEPT) -> None:
    """Remove deliveries of which no piece has come for so many seconds."""
    for folder in _all().glob("*"):
        times = [file.stat().st_mtime for file in (folder, *folder.glob("*")) if file.exists()]
        if max(times, default=0.0) < time.time() - kept:
            shutil.rmtree(folder, ignore_errors=True)


def _delivery(folder: Path) -> Delivery | None:
    try:
        about = json.loads((folder / ABOUT).read_text(encoding="utf-8"))
        return Delivery(folder, str(about["name"]), str(about["by"]), tuple(map(int, about["sizes"])))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _all() -> Path:
    return Path(settings.DATA_FOLDER) / "arriving"
