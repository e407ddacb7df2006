"""Pages on their way in: files that one request could not hold come in pieces, each written down as it comes.

A delivery is a folder of the store that says which files are to come, and holds a file for each piece that has. Nothing
else is kept, so that it goes on after a cut network or a restart where it broke off, at whichever process: whoever
brings the same files again, known by their names, sizes and times, is told which piece is wanted next. A piece is there
whole or not at all (`contest.kept`). Once all are, the files are put together; nothing can be added to a file of a
bucket, so not before.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from io import BufferedReader, BytesIO, RawIOBase
from typing import TYPE_CHECKING, Any, NamedTuple
from uuid import NAMESPACE_OID, UUID, uuid5

from django.utils.translation import gettext as _

from contest import kept
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
ALL = "arriving"
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
    """A file of a delivery that is all here: its pieces, in order."""

    def __init__(self, pieces: list[str]) -> None:
        self.pieces = pieces

    def digest(self) -> str:
        digest = hashlib.sha256()
        for part in self.chunks():
            digest.update(part)
        return digest.hexdigest()

    def keep_as(self, name: str) -> None:
        """Put it together; its pieces go, so that the disk need not hold all twice."""
        kept.keep(name, BufferedReader(_Stream(self.chunks()), CHUNK))
        for piece in self.pieces:
            kept.drop(piece)

    def chunks(self) -> Iterator[bytes]:
        for piece in self.pieces:
            with kept.opened(piece) as file:
                yield from file.chunks(CHUNK)


class _Stream(RawIOBase):
    """Parts as one file, for whoever reads it once from its beginning."""

    def __init__(self, parts: Iterator[bytes]) -> None:
        self.parts, self.left = parts, b""

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        part = self.left or next(self.parts, b"")
        size = min(len(part), len(buffer))
        buffer[:size], self.left = part[:size], part[size:]
        return size


@dataclass(frozen=True, slots=True)
class Delivery:
    """Files on their way to a contest; `by` names whoever sends them, `name` is what the first was called."""

    folder: str
    name: str
    by: str
    sizes: tuple[int, ...]

    @property
    def key(self) -> UUID:
        return UUID(self.folder.split("-", 1)[1])

    @property
    def whole(self) -> int:
        return sum(self.sizes)

    @property
    def here(self) -> int:
        """Bytes of it that are here."""
        there = self._there()
        return sum(piece.length for piece in self.pieces() if self._name(piece) in there)

    @property
    def wanted(self) -> Piece | None:
        """The piece that is to come next; None where all are here."""
        there = self._there()
        return next((piece for piece in self.pieces() if self._name(piece) not in there), None)

    def pieces(self) -> Iterator[Piece]:
        for file, size in enumerate(self.sizes):
            for at in range(0, size, PIECE):
                yield Piece(file, at, min(PIECE, size - at))

    def files(self) -> list[Arrived]:
        names: list[list[str]] = [[] for _size in self.sizes]
        for piece in self.pieces():
            names[piece.file].append(self._name(piece))
        return list(map(Arrived, names))

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
        part = content.read(length)
        if len(part) != length:
            raise NotPossible(_("this piece did not arrive whole"))
        kept.keep(self._name(wanted), BytesIO(part))
        if not kept.is_there(f"{self.folder}/{ABOUT}"):
            self.give_up()
            raise FileNotFoundError(self.folder)

    def give_up(self) -> None:
        with suppress(OSError):
            kept.drop(f"{self.folder}/{ABOUT}")  # first: whoever brings a piece at this moment sees that
            kept.drop_folder(self.folder)

    def _name(self, piece: Piece) -> str:
        return f"{self.folder}/{piece.file:05}-{piece.at:012}"

    def _there(self) -> set[str]:
        return set(kept.names_in(self.folder))


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
    folder = f"{ALL}/{contest.pk}-{uuid5(NAMESPACE_OID, f'tanbark pages {known}')}"
    delivery = Delivery(folder, files[0].name[:200], by, tuple(file.size for file in files))
    about = json.dumps({"name": delivery.name, "by": by, "sizes": delivery.sizes}).encode()
    if _delivery(folder):
        kept.keep(f"{folder}/{ABOUT}", BytesIO(about))  # anew, as of this moment
        return delivery
    others = deliveries_of(contest)
    if len(others) >= MOST_AT_ONCE:
        raise NotPossible(_("{most} others are on their way already: wait until one is here").format(most=MOST_AT_ONCE))
    if disk := kept.room_of():  # a file lies there twice while it is put together
        room = (room_left(disk) - LITTLE_ROOM - sum(other.whole - other.here for other in others)) // 2
        if whole > room:
            told = _("that is {size}, and the laptop's disk has room for {room}: make room there, or bring fewer pages")
            raise NotPossible(told.format(size=megabytes(whole), room=megabytes(max(0, room))))
    kept.keep(f"{folder}/{ABOUT}", BytesIO(about))
    return delivery


def find(contest: Contest, by: str, key: UUID) -> Delivery | None:
    """A delivery of somebody's own; None where it was given up, or is another's."""
    delivery = _delivery(f"{ALL}/{contest.pk}-{key}")
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
    return [delivery for folder in _folders_of(contest) if (delivery := _delivery(folder))]


def files_of_all(contest: Contest) -> list[str]:
    return [name for folder in _folders_of(contest) for name in kept.names_in(folder)]


def drop_left_behind(most: float = KEPT) -> None:
    """Remove deliveries of which no piece has come for so many seconds."""
    for folder in kept.folders_in(ALL):
        if all(kept.age_of(name) > most for name in kept.names_in(folder)):
            kept.drop_folder(folder)


def _folders_of(contest: Contest) -> list[str]:
    return [folder for folder in kept.folders_in(ALL) if folder.startswith(f"{ALL}/{contest.pk}-")]


def _delivery(folder: str) -> Delivery | None:
    try:
        with kept.opened(f"{folder}/{ABOUT}") as file:
            about = json.loads(file.read())
        return Delivery(folder, str(about["name"]), str(about["by"]), tuple(map(int, about["sizes"])))
    except (FileNotFoundError, ValueError, KeyError, TypeError):
        return None
