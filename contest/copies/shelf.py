"""The copies in a folder: which there are, what each says of itself, and which are kept for how long.

A copy is a folder that could be a data folder, with `copy.json` beside its database. It has a number that only grows:
a clock may be put back, a number never is. Which copies stay is settled by counting hours and days that have one, so
that a clock that jumps a year ahead throws nothing away.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from scoring.core.texts import gettext

ABOUT = "copy.json"
NAME = re.compile(r"(\d{4,})-(\d{8})-(\d{6})")
HALF = ".half-"

NEWEST_KEPT = 12
HOURS_KEPT = 24
DAYS_KEPT = 30


@dataclass(frozen=True)
class ContestInCopy:
    """One contest as a copy holds it. `changed` is when it last changed, in words of ISO 8601, empty if never; `head`
    is the hash its trail ends with."""

    pk: int
    name: str
    revision: int
    changed: str = ""
    contestants: int = 0
    readings: int = 0
    head: str = ""
    in_bin: bool = False


@dataclass(frozen=True)
class Copy:
    """What a copy says of itself. `tallied`: every contest in it was opened and scored, not only looked through."""

    path: Path
    number: int
    at: datetime
    why: str
    size: int  # bytes of the database
    digest: str  # SHA-256 of the database
    database: str  # its id
    tallied: bool
    state: list[Any] = field(default_factory=list)  # what was in force, to tell whether anything changed since
    contests: tuple[ContestInCopy, ...] = ()

    @property
    def name(self) -> str:
        return self.path.name

    @property
    def latest(self) -> ContestInCopy | None:
        """The contest that changed last."""
        return max(self.contests, key=lambda contest: contest.changed, default=None)


def said_why(copy: Copy) -> str:
    """Why it was made, in the language of the moment: a copy's own file has it in English, whoever made it."""
    return "; ".join(gettext(why) for why in copy.why.split("; "))


def write_about(copy: Copy) -> None:
    said = {**asdict(copy), "at": copy.at.isoformat()}
    del said["path"]
    (copy.path / ABOUT).write_text(json.dumps(said, indent=1), encoding="utf-8")


def read_copy(path: Path) -> Copy | None:
    """The copy in this folder; None where there is none that was finished."""
    try:
        said = json.loads((path / ABOUT).read_text(encoding="utf-8"))
        contests = tuple(ContestInCopy(**contest) for contest in said.pop("contests"))
        return Copy(path=path, at=datetime.fromisoformat(said.pop("at")), contests=contests, **said)
    except (OSError, ValueError, TypeError, KeyError):
        return None


def copies_in(folder: Path) -> list[Copy]:
    """The finished copies in a folder, the newest first; none where the folder is not there."""
    try:
        names = [path for path in folder.iterdir() if NAME.fullmatch(path.name)]
    except OSError:
        return []
    copies = (read_copy(path) for path in names)
    return sorted((copy for copy in copies if copy), key=lambda copy: copy.number, reverse=True)


def name_of(number: int, at: datetime) -> str:
    return f"{number:04}-{at:%Y%m%d-%H%M%S}"


def next_number(folders: Iterable[Path]) -> int:
    """One more than any copy there is, whole or not."""
    numbers = [0]
    for folder in folders:
        try:
            numbers += [int(match[1]) for path in folder.iterdir() if (match := NAME.fullmatch(path.name))]
        except OSError:
            continue
    return max(numbers) + 1


def worth_keeping(copies: Sequence[Copy], now: datetime) -> set[str]:
    """The names of those that stay: the newest few, all of the last hour, then the last of each hour and day.

    `copies` are the newest first.
    """
    kept = {copy.name for copy in copies[:NEWEST_KEPT]}
    kept |= {copy.name for copy in copies if abs(now - copy.at) <= timedelta(hours=1)}
    for most, spell in ((HOURS_KEPT, "%Y-%m-%d %H"), (DAYS_KEPT, "%Y-%m-%d")):
        last_of: dict[str, str] = {}
        for copy in copies:
            last_of.setdefault(copy.at.strftime(spell), copy.name)
        kept |= set(list(last_of.values())[:most])
    return kept


def thin(folder: Path, now: datetime) -> list[Copy]:
    """Throw away what need not be kept, and halves that nobody finished; gives back what went."""
    copies = copies_in(folder)
    kept = worth_keeping(copies, now)
    gone = [copy for copy in copies if copy.name not in kept]
    for copy in gone:
        throw_away(copy.path)
    return gone


def throw_away(path: Path) -> None:
    """Remove a copy. What says that it is one goes first, so that a half-removed one is none."""
    (path / ABOUT).unlink(missing_ok=True)
    shutil.rmtree(path, ignore_errors=True)


def sweep(folder: Path) -> None:
    """Remove halves that a stop left behind. Only whoever makes copies here may call it."""
    for half in folder.glob(f"{HALF}*"):
        shutil.rmtree(half, ignore_errors=True)
