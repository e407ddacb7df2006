"""Starting from a copy: it is looked through, what would be lost is said, and what is in force is put aside, never
deleted.

The copy is first brought whole beside the database in use; then two renames change them over. A stop in between leaves
a folder that was used and has no database, which `up` refuses, and the same command goes on.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
import zipfile
from collections.abc import Collection, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext as _

from contest.copies.files import KEPT, CopyFailed, look_through, sync_all, sync_folder
from contest.copies.making import ask_child
from contest.copies.shelf import ABOUT, ContestInCopy, Copy, read_copy
from contest.disk.integrity import Damage, Migration, look_at_database
from contest.disk.used import DATABASE, USED
from contest.trail import note, sentence
from contest.trail.names import TERMINAL

BESIDE = (f"{DATABASE}-wal", f"{DATABASE}-shm", f"{DATABASE}-journal")
ASIDE = "aside"
RESTORED = "restored"
"""The file that comes into a data folder with a copy: what the trail is still to be told. The database itself may be of
an older version, and is written to only when `up` has brought it up to date."""


class CannotRestore(Exception):
    """Says why nothing was changed, and what would help."""


@dataclass(frozen=True)
class Restored:
    """What is in force now, and where what was in force before lies; None where there was nothing."""

    contests: tuple[ContestInCopy, ...]
    aside: Path | None


def unpack(path: Path, into: Path) -> Path:
    """The folder of a copy, whatever it was given as: a folder, its database, or a .zip that was downloaded."""
    if path.is_dir():
        return path
    if not path.exists():
        raise CannotRestore(_("{path} is not there").format(path=path))
    if path.name == DATABASE:
        return path.parent
    try:
        with zipfile.ZipFile(path) as packed:
            packed.extractall(into)  # which refuses to leave the folder
    except (zipfile.BadZipFile, EOFError) as error:
        raise CannotRestore(
            _("{path} is no copy: neither a folder nor a whole .zip ({error})").format(path=path, error=error)
        ) from error
    holder = next((database.parent for database in sorted(into.rglob(DATABASE))), None)
    if holder is None:
        raise CannotRestore(_("there is no {file} in {path}").format(file=DATABASE, path=path))
    return holder


def scratch_in(folder: Path) -> Path:
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return Path(mkdtemp(prefix=".restore-", dir=folder))


def bring_here(copy: Path, scratch: Path, known: Collection[Migration]) -> dict[str, Any]:
    """Bring a copy whole into `scratch` and look through it there; the copy itself stays as it is. Gives back what is
    in it. Raises CannotRestore where it is not whole, or of a newer version."""
    if not (copy / DATABASE).exists():
        raise CannotRestore(_("there is no {file} in {copy}").format(file=DATABASE, copy=copy))
    brought = scratch / "brought"
    brought.mkdir(mode=0o700)
    for name in (DATABASE, *BESIDE, *KEPT):  # a folder that was served from may still have its last saves beside
        if (copy / name).is_dir():
            shutil.copytree(copy / name, brought / name)
        elif (copy / name).exists():
            shutil.copyfile(copy / name, brought / name)
            (brought / name).chmod(0o600)
    try:
        look_at_database(brought / DATABASE, known)
        _into_one_file(brought / DATABASE)
        contents = ask_child(brought, None)
    except (Damage, CopyFailed) as problem:
        raise CannotRestore(
            _("{copy} cannot be started from. {problem}").format(copy=copy, problem=problem)
        ) from problem
    sync_all(brought)
    return contents


def _into_one_file(path: Path) -> None:
    database = sqlite3.connect(path)
    database.execute("PRAGMA journal_mode=DELETE")
    database.close()


def in_force(folder: Path) -> list[ContestInCopy] | None:
    """The contests in force; None where the database cannot be read, and so has nothing that a copy could lack."""
    if not (folder / DATABASE).exists():
        return []
    try:
        return [ContestInCopy(**contest) for contest in look_through(folder / DATABASE)["contests"]]
    except CopyFailed:
        return None


def would_be_lost(now: Sequence[ContestInCopy], copy: Sequence[ContestInCopy]) -> list[str]:
    """What is in force and not in the copy, one contest a line. Both are of one database: a contest keeps its number
    there, and another gets none that was used."""
    held = {contest.pk: contest for contest in copy}
    lost = []
    for contest in now:
        other = held.get(contest.pk)
        if other is None:
            text = _("{name}: all of it, {revision} changes, the last {when}")
            lost.append(text.format(name=contest.name, revision=contest.revision, when=_when(contest)))
        elif contest.revision > other.revision:
            changes = max(1, contest.revision - other.revision)
            readings = max(0, contest.readings - other.readings)
            text = _("{name}: {changes} changes, made until {when}")
            if readings:
                text = _("{name}: {changes} changes, {cards} cards read, made until {when}")
            lost.append(text.format(name=contest.name, changes=changes, cards=readings, when=_when(contest)))
        elif contest.revision == other.revision and contest.head != other.head:
            text = _("{name}: other changes than the copy's, made until {when}")
            lost.append(text.format(name=contest.name, when=_when(contest)))
    return lost


def _when(contest: ContestInCopy) -> str:
    return f"{contest.changed[:19]} UTC" if contest.changed else _("at an unknown time")


def change_over(folder: Path, scratch: Path, contents: dict[str, Any], source: Path) -> Restored:
    """Put what was brought from `source` in force, and what was in force aside."""
    brought = scratch / "brought"
    held = [f"{contest['name']}, revision {contest['revision']}" for contest in contents["contests"]]
    word = {"copy": source.name, "at": timezone.now().isoformat(timespec="seconds"), "contests": held}
    (brought / RESTORED).write_text(json.dumps(word), encoding="utf-8")
    sync_all(brought)
    aside = _put_aside(folder)
    for path in sorted(brought.iterdir(), key=lambda path: path.name == DATABASE):  # the database last
        path.replace(folder / path.name)
    sync_folder(folder)
    return Restored(tuple(ContestInCopy(**contest) for contest in contents["contests"]), aside)


def tell_the_trail(folder: Path) -> None:
    """Write down that this database came from a copy, if it did and that is not written down yet."""
    word = folder / RESTORED
    if word.exists():
        note(TERMINAL, sentence("started_from_copy"), after=json.loads(word.read_text(encoding="utf-8")))
        word.unlink()


def _put_aside(folder: Path) -> Path | None:
    present = [folder / name for name in (DATABASE, *BESIDE, *KEPT) if (folder / name).exists()]
    if not present:
        return None
    aside = folder / ASIDE / f"{timezone.localtime():%Y%m%d-%H%M%S}"
    number = 1
    while aside.exists():  # the clock was put back
        number += 1
        aside = aside.with_name(f"{aside.name.split('.')[0]}.{number}")
    aside.mkdir(mode=0o700, parents=True)
    # The mark that this folder was used stays until another comes: without a database it says that one is missing.
    with suppress(FileNotFoundError):
        shutil.copyfile(folder / USED, aside / USED)
    for path in present:
        if path.name != USED:
            path.rename(aside / path.name)
    sync_folder(aside)
    return aside


def said_of(folder: Path) -> Copy | None:
    return read_copy(folder) if (folder / ABOUT).exists() else None
