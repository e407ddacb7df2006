"""Where its pages lie, and how a new state of them takes the place of the old one. No Django.

    FOLDER/en/results/12        -> ../../made/12/lists/now/en/results/12
    FOLDER/en/public/12         -> ../../made/12/lists/now/en/public/12
    FOLDER/en/home/TOKEN        -> ../../made/12/homes/now/en/home/TOKEN
    FOLDER/made/12/lists/now    -> VERSION
    FOLDER/made/12/lists/VERSION/en/results/12/index.html
    FOLDER/made/12/lists/state      of which state of the contest that is what may be read

Files of a version never change. Every address leads through `now`, so that turning that one link puts a whole state in
the place of another, and taking it away withdraws all of it, at one moment.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Literal

from scoring.core.texts import gettext as _

Part = Literal["lists", "homes"]
PARTS: tuple[Part, ...] = ("lists", "homes")
"""What all may see, and what is behind links to take home."""

SIGN = "web-copy-by-tanbark.txt"
SIGN_SAYS = "Pages for a web server, kept by Tanbark. What else is put here may be lost.\n"
MADE, NOW, STATE, TROUBLE = "made", "now", "state", "trouble.txt"
FOR_ALL, UNLISTED, FOR_ALL_FILES = 0o755, 0o711, 0o644
LONGEST_NAME = 200
"""Bytes of a file's name; most systems take 255."""


class CannotBeKept(Exception):
    """The folder is no place for the copy; says why."""


def file_for(address: str) -> str | None:
    """The file of the page at an address, such as `results/12/SR/placing/index.html`; None for an address that is no
    path of ours, whose page the site then shows itself."""
    parts = address.strip("/").split("/")
    if not all(part and part not in {".", ".."} and len(part.encode()) <= LONGEST_NAME for part in parts):
        return None
    if any(character in part for part in parts for character in "\\\0"):
        return None
    return "/".join([*parts, "index.html"] if address.endswith("/") else parts)


def in_force(folder: Path, contest: int, part: Part) -> str:
    """The version that is handed out; empty while none is."""
    try:
        return os.readlink(_home(folder, contest, part) / NOW)
    except OSError:
        return ""


def state_in_force(folder: Path, contest: int, part: Part) -> str:
    """The state of the contest that the version in force was last found to show; empty while none is handed out."""
    try:
        return (
            (_home(folder, contest, part) / STATE).read_text(encoding="ascii")
            if in_force(folder, contest, part)
            else ""
        )
    except OSError:
        return ""


def is_of_state(folder: Path, contest: int, part: Part, state: str) -> None:
    """Say that what is in force is what that state of the contest has to show."""
    (_home(folder, contest, part) / STATE).write_text(state, encoding="ascii")


def contests_in(folder: Path) -> set[int]:
    """The contests of which there is anything."""
    made = folder / MADE
    return {int(path.name) for path in made.iterdir() if path.name.isdecimal()} if made.is_dir() else set()


def put_up(
    folder: Path,
    contest: int,
    part: Part,
    version: str,
    files: Iterable[tuple[str, bytes]],
    still_so: Callable[[], bool],
) -> bool:
    """Write a version, by the path of each file below the folder, and hand it out in the place of the one before, which
    is gone afterwards. False where it was `still_so` no more when all was written: then it is thrown away.

    Raises OSError where it cannot be written; nothing has changed then.
    """
    home = _home(folder, contest, part)
    half = home / f"{version}.half"
    shutil.rmtree(half, ignore_errors=True)
    _open_folder(folder, half)
    for name, content in files:
        path = half / name
        _open_folder(half, path.parent)
        path.write_bytes(content)
        path.chmod(FOR_ALL_FILES)
    if not still_so():
        shutil.rmtree(half)
        return False
    made = home / version
    shutil.rmtree(made, ignore_errors=True)
    half.rename(made)
    before = in_force(folder, contest, part)
    _point(home / NOW, version)
    for address in _addresses(made, contest, part):
        link = folder / address
        _open_folder(folder, link.parent)
        _point(link, os.path.join(*[".."] * address.count("/"), MADE, str(contest), part, NOW, address))
    if before and before != version:
        _forget(folder, contest, part, home / before, made)
    for left in home.iterdir():
        if left.is_dir() and left.name not in {NOW, version}:
            shutil.rmtree(left, ignore_errors=True)
    return True


def take_down(folder: Path, contest: int, part: Part) -> None:
    """Hand nothing out any more, from one moment on, and delete what was."""
    home = _home(folder, contest, part)
    version = in_force(folder, contest, part)
    (home / NOW).unlink(missing_ok=True)
    if version:
        _forget(folder, contest, part, home / version, None)
    shutil.rmtree(home, ignore_errors=True)
    if home.parent.is_dir() and not any((home.parent / other).exists() for other in PARTS):
        shutil.rmtree(home.parent, ignore_errors=True)


def keep_addresses(folder: Path, contest: int, tokens: Collection[str]) -> None:
    """Let every link to take home lead nowhere that is not one of these."""
    version = in_force(folder, contest, "homes")
    if version:
        for address in _addresses(_home(folder, contest, "homes") / version, contest, "homes"):
            if address.rpartition("/")[2] not in tokens:
                (folder / address).unlink(missing_ok=True)


def prepare(folder: Path) -> None:
    """See to it that the folder can hold the copy. Raises CannotBeKept, in words."""
    tried = folder / ".tried"
    try:
        folder.mkdir(mode=FOR_ALL, parents=True, exist_ok=True)
        if not (folder / SIGN).is_file():
            if any(folder.iterdir()):
                told = _("{folder} holds something else; name a folder that does not exist yet")
                raise CannotBeKept(told.format(folder=folder))
            (folder / SIGN).write_text(SIGN_SAYS, encoding="ascii")
        _point(tried, SIGN)
        tried.unlink()
    except (OSError, NotImplementedError) as error:
        told = _("{folder}: no files and symbolic links can be made there: {error}")
        why = error.strerror if isinstance(error, OSError) else error
        raise CannotBeKept(told.format(folder=folder, error=why)) from error


def say_trouble(folder: Path, contest: int, text: str) -> None:
    """Keep why the pages of a contest could not be written, or with an empty text that they could."""
    file = folder / MADE / str(contest) / TROUBLE
    if not text:
        file.unlink(missing_ok=True)
    else:
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")


def trouble_of(folder: Path, contest: int) -> str:
    """Why the pages of a contest are not there; empty where nothing is known against it."""
    try:
        prepare(folder)
        return (folder / MADE / str(contest) / TROUBLE).read_text(encoding="utf-8")
    except CannotBeKept as problem:
        return str(problem)
    except OSError:
        return ""


def _home(folder: Path, contest: int, part: Part) -> Path:
    return folder / MADE / str(contest) / part


def _addresses(made: Path, contest: int, part: Part) -> Iterator[str]:
    """What of a version is linked to, by its path below the folder."""
    for language in sorted(path.name for path in made.iterdir()):
        if part == "lists":
            yield from (f"{language}/{kind}/{contest}" for kind in sorted(os.listdir(made / language)))
        elif (made / language / "home").is_dir():
            yield from (f"{language}/home/{token}" for token in sorted(os.listdir(made / language / "home")))


def _point(link: Path, target: str) -> None:
    """Let a symbolic link lead there, whether it is there already or not, at one moment."""
    if link.is_symlink() and os.readlink(link) == target:
        return
    new = link.with_name(f".{link.name}.new")
    new.unlink(missing_ok=True)
    new.symlink_to(target)
    new.replace(link)


def _forget(folder: Path, contest: int, part: Part, old: Path, made: Path | None) -> None:
    """Take away the addresses of an old version that the new one has not."""
    kept = set(_addresses(made, contest, part)) if made else set()
    if old.is_dir():
        for address in set(_addresses(old, contest, part)) - kept:
            with suppress(OSError):  # they lead nowhere any more
                (folder / address).unlink()


def _open_folder(top: Path, folder: Path) -> None:
    """Make a folder below another, with those between: a web server, which has a user of its own, can read them. Nobody
    can list those that are full of families' addresses."""
    for made in [top / part for part in _steps(folder.relative_to(top))]:
        if not made.is_dir():
            made.mkdir(exist_ok=True)
            made.chmod(UNLISTED if made.name == "home" else FOR_ALL)


def _steps(path: Path) -> list[Path]:
    return [*reversed(path.parents), path][1:]
