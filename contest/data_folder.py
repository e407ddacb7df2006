"""The folder that holds all state of one Tanbark, and who has it in use."""

import json
import os
import secrets
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path

from filelock import FileLock, Timeout

from scoring.core.texts import gettext as _

LOCK = "in-use.lock"
HOLDER = "in-use.json"


class InUse(Exception):
    """Another process has the data folder; says which."""


def prepare(folder: Path) -> None:
    """Make the folder with its secret key, unless one was chosen, readable by this user alone."""
    make_private(folder)
    if "TANBARK_SECRET_KEY" not in os.environ:
        make_secret(folder / "secret-key", secrets.token_urlsafe(50))


def make_private(folder: Path) -> None:
    """Make the folder readable by this user alone: closed where it was open to others."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if os.name == "posix":
        folder.chmod(0o700)


def make_secret(path: Path, value: str) -> None:
    # Moved into place whole: a half-written key would be taken for a key ever after.
    if path.exists():
        return
    half = path.with_name(path.name + ".half")
    half.unlink(missing_ok=True)
    with open(os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as file:
        file.write(value + "\n")
        file.flush()
        os.fsync(file.fileno())  # or a power cut on the first day leaves an empty one
    half.replace(path)


@contextmanager
def held_by_one(folder: Path, holder: str, where: str = "", others: Sequence[str] = ()) -> Iterator[None]:
    """Keep every other process that asks for the folder out of it, for as long as the block runs.

    `holder` is the command that asks, and `where` the address at which it serves, if it does: a second one is told
    them, in an InUse. `others` are its addresses for other devices. The system lets go of the lock however the process
    ends. `up` holds the folder, and so must whatever may not happen beside it; a copy may.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    lock = FileLock(folder / LOCK, mode=0o600)
    try:
        lock.acquire(blocking=False)
    except Timeout:
        raise InUse(_told_by(folder)) from None
    try:
        _tell(
            folder, {"process": os.getpid(), "what": holder, "where": where, "others": [*others], "since": time.time()}
        )
        yield
    finally:
        (folder / HOLDER).unlink(missing_ok=True)
        lock.release()


def refuse_second(folder: Path) -> None:
    """Raise InUse if a process holds the folder; a folder that is not there is not made."""
    if (folder / LOCK).exists():
        try:
            with FileLock(folder / LOCK, blocking=False):
                pass
        except Timeout:
            raise InUse(_told_by(folder)) from None


def serves_others_at(folder: Path) -> list[str]:
    """The addresses at which a Tanbark that holds the folder serves other devices, the likeliest first."""
    try:
        refuse_second(folder)
    except InUse:
        with suppress(OSError, ValueError, KeyError):  # it may be ending, or have begun this moment
            return [str(address) for address in json.loads((folder / HOLDER).read_text(encoding="utf-8"))["others"]]
    return []


def _tell(folder: Path, holder: dict[str, object]) -> None:
    # Beside the lock and not in it: Windows lets nobody read a file that is locked.
    half = folder / (HOLDER + ".half")
    half.write_text(json.dumps(holder), encoding="utf-8")
    half.replace(folder / HOLDER)


def _told_by(folder: Path) -> str:
    try:
        holder = json.loads((folder / HOLDER).read_text(encoding="utf-8"))
        since = datetime.fromtimestamp(holder["since"]).astimezone().strftime("%Y-%m-%d %H:%M")
        serving = _("process {process} ({what}) serving at {where}, since {since}")
        text = serving if holder["where"] else _("process {process} ({what}), since {since}")
        first = text.format(process=holder["process"], what=holder["what"], where=holder["where"], since=since)
    except (OSError, ValueError, TypeError, KeyError):  # it holds the folder, and has not said yet who it is
        first = _("another process")
    text = _(
        "The data folder {folder} is in use by {first}. Two at once would spoil it: use that one, or stop it first; "
        "or name another folder with --data."
    )
    return text.format(folder=folder, first=first)
