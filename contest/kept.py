"""Files that any process must find: printed papers, scanned pages, the pictures of awards. By name, in one store.

The store is the data folder where one process serves; else a folder that all share, or a bucket (TANBARK_FILES, see
`contest.settings`). A name is kept anew in place of what it was. Whoever needs a path asks `local`; nothing else may
rely on there being one. A store that cannot be reached is an OSError, as a disk that fails is.
"""

from __future__ import annotations

import atexit
import errno
import os
import secrets
import shutil
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, Any

from django.conf import settings
from django.core.files import File
from django.core.files.storage import FileSystemStorage, Storage, storages

HALF = ".half"
MARK = ".store"
"""By this file processes know that their folder is the same, on whichever machines it is."""


class InFolder(FileSystemStorage):
    """As Django's, for nobody else's eyes; a file is there whole, and on the disk, or not at all."""

    @property
    def base_location(self) -> Any:
        return settings.KEPT_FOLDER or settings.DATA_FOLDER

    @property
    def location(self) -> str:
        return os.path.abspath(str(self.base_location))

    def get_available_name(self, name: str, max_length: int | None = None) -> str:
        return name

    def _save(self, name: str, content: Any) -> str:
        path = Path(self.path(name))
        _private(path.parent, Path(self.location))
        handle, half = tempfile.mkstemp(suffix=HALF, dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as file:
                file.writelines(content.chunks())
                file.flush()
                os.fsync(file.fileno())
            Path(half).replace(path)
        except BaseException:
            Path(half).unlink(missing_ok=True)
            raise
        return name


def keep(name: str, content: IO[bytes] | File[bytes]) -> None:
    """Keep what a file has under a name. Raises OSError."""
    with _reached():
        _store().save(name, content if isinstance(content, File) else File(content))


def opened(name: str) -> File[bytes]:
    """Raises FileNotFoundError, and any other OSError."""
    with _reached():
        return _store().open(name)


def is_there(name: str) -> bool:
    with _reached():
        return _store().exists(name)


def names_in(folder: str) -> list[str]:
    """The names of the files in a folder, in order."""
    return [f"{folder}/{file}" for file in sorted(_listed(folder)[1]) if not file.endswith(HALF)]


def folders_in(folder: str) -> list[str]:
    return [f"{folder}/{within}" for within in sorted(_listed(folder)[0])]


def age_of(name: str) -> float:
    """Seconds since it was kept; of one that is gone, none."""
    try:
        with _reached():
            return time.time() - _store().get_modified_time(name).timestamp()
    except FileNotFoundError:
        return 0.0


def drop(name: str) -> None:
    """Let go of a file. Windows keeps one that somebody is fetching, and it goes with the next that nobody needs."""
    with _reached(), suppress(PermissionError):
        _store().delete(name)


def drop_folder(folder: str) -> None:
    for file in _listed(folder)[1]:
        drop(f"{folder}/{file}")
    with suppress(OSError):  # somebody puts a file into it at this moment
        drop(folder)


@contextmanager
def local(names: Sequence[str]) -> Iterator[list[Path]]:
    """Paths at which the files can be read while the block runs."""
    try:
        yield [Path(_store().path(name)) for name in names]
        return
    except NotImplementedError:  # as Django's storages say where there is no path
        pass
    with scratch() as folder:
        paths = [folder / f"{place:05}{Path(name).suffix}" for place, name in enumerate(names)]
        for name, path in zip(names, paths, strict=True):
            fetch(name, path)
        yield paths


@contextmanager
def scratch() -> Iterator[Path]:
    """A folder of this process's own while the block runs; the next start removes what somebody killed left in it."""
    _fetched().mkdir(mode=0o700, parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=_fetched()) as folder:
        yield Path(folder)


def at(name: str) -> Path:
    """Where a small file can be read for as long as this process runs. Raises OSError."""
    try:
        return Path(_store().path(name))
    except NotImplementedError:
        pass
    _fetched().mkdir(mode=0o700, parents=True, exist_ok=True)
    path = _fetched() / f"{os.getpid()}-{name.replace('/', '-')}"
    half = path.with_suffix(f".{secrets.token_hex(8)}{HALF}")
    fetch(name, half)
    half.replace(path)
    atexit.register(path.unlink, missing_ok=True)
    return path


def fetch(name: str, path: Path) -> None:
    """Write a file of the store to a path. Raises FileNotFoundError, and any other OSError."""
    with opened(name) as kept, path.open("wb") as copy:
        shutil.copyfileobj(kept, copy)


def forget_fetched() -> None:
    """Remove what somebody who was killed had fetched: names stand on it."""
    shutil.rmtree(_fetched(), ignore_errors=True)


def room_of() -> Path | None:
    """The folder of the store, whose disk may fill; None where it has none."""
    try:
        return Path(_store().path(""))
    except NotImplementedError:
        return None


def identity() -> str:
    """What tells this store from every other. Raises OSError."""
    folder = room_of()
    if folder is None:
        return str(settings.STORAGES["kept"].get("OPTIONS"))
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with suppress(FileExistsError), (folder / MARK).open("x", encoding="ascii") as mark:
        mark.write(secrets.token_hex(16))
    return (folder / MARK).read_text(encoding="ascii")


def _private(folder: Path, base: Path) -> None:
    if folder != base and base in folder.parents:
        _private(folder.parent, base)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def _store() -> Storage:
    return storages["kept"]


def _fetched() -> Path:
    return Path(settings.DATA_FOLDER) / "fetched"


def _listed(folder: str) -> tuple[list[str], list[str]]:
    try:
        with _reached():
            return _store().listdir(folder)
    except FileNotFoundError:
        return [], []


@contextmanager
def _reached() -> Iterator[None]:
    try:
        yield
    except (OSError, NotImplementedError):
        raise
    except Exception as error:  # each store has its own
        raise OSError(errno.EIO, str(error)) from error
