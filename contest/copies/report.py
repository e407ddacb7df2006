"""What whoever makes the copies tells the pages: how old the last good one is, and what is in the way of the next.

Ages are counted by a clock that nobody puts back, in each process for itself; what passes between the two processes is
how many seconds, never at what time.
"""

from __future__ import annotations

import json
import threading
import time
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.copies.places import default_shelf

BEAT = 10.0
"""Seconds between two words of whoever makes the copies, while nothing happens."""
SILENT = 60.0
"""After so many seconds without a word nobody makes copies any more."""
TOO_OLD = 15 * 60.0


@dataclass(frozen=True)
class KeeperReport:
    """`age` of the last good copy and `behind`, since when something changed that is in none, in seconds.

    `age` is None where there is no copy, `away` names the folder of choice where it is not there, and `trouble` says
    why the last try failed.
    """

    number: int = 0
    at: str = ""
    age: float | None = None
    behind: float = 0.0
    shelf: str = ""
    away: str = ""
    trouble: str = ""
    making: bool = False
    silent: bool = False

    @property
    def is_late(self) -> bool:
        return self.silent or self.behind > TOO_OLD or (self.age is None and bool(self.trouble))


def write_report(told: KeeperReport) -> None:
    """Leave word. Raises OSError where the disk takes none; then the silence tells."""
    path = _path()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    half = path.with_suffix(".half")
    half.write_text(json.dumps({**asdict(told), "beat": time.time_ns()}), encoding="utf-8")
    half.replace(path)


_heard: tuple[str, KeeperReport, float] = ("", KeeperReport(), 0.0)
_lock = threading.Lock()


def read_report() -> KeeperReport | None:
    """What was told last, brought up to now; None where nobody has ever made copies here."""
    global _heard
    try:
        text = _path().read_text(encoding="utf-8")
        said = json.loads(text)
        said.pop("beat")
        told = KeeperReport(**said)
        datetime.fromisoformat(told.at or "2000-01-01")
    except FileNotFoundError:
        return None
    except (OSError, ValueError, TypeError, KeyError):
        text, told = "", KeeperReport(trouble=_("what was told of the copies cannot be read"))
    now = time.monotonic()
    with _lock:
        if text != _heard[0]:
            _heard = (text, told, now)
        since = now - _heard[2]
    return replace(
        told,
        age=None if told.age is None else told.age + since,
        behind=told.behind + since if told.behind else 0.0,
        silent=since > SILENT,
    )


def _path() -> Path:
    return default_shelf() / "told.json"


def last_copy(told: KeeperReport | None) -> str:
    """When the last copy was made, in words."""
    if told is None or told.age is None or not told.at:
        return _("No copy yet")
    at = datetime.fromisoformat(told.at).astimezone(timezone.get_current_timezone())
    return _("Last copy {at:%H:%M}, {age} ago").format(at=at, age=how_long(told.age))


def how_long(seconds: float) -> str:
    """Such as `12 minutes`."""
    minutes = int(seconds // 60)
    if minutes < 1:
        return _("less than a minute")
    if minutes < 120:
        return ngettext("{count} minute", "{count} minutes", minutes).format(count=minutes)
    if minutes < 48 * 60:
        return ngettext("{count} hour", "{count} hours", minutes // 60).format(count=minutes // 60)
    days = minutes // (24 * 60)
    return ngettext("{count} day", "{count} days", days).format(count=days)
