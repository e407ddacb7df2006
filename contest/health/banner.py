"""What the superintendent's pages say of the machine: what is wrong, what to do, and how old the last copy is."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.copies.report import KeeperReport, how_long, last_copy, read_report
from contest.disk.integrity import NEEDED
from contest.disk.room import LITTLE_ROOM, megabytes, room_left
from contest.disk.trouble import AWAY, DAMAGED, FAILING, FULL, READ_ONLY, trouble

ROOM_IS_GOOD_FOR = 5.0  # seconds
_room: tuple[float, int] = (float("-inf"), LITTLE_ROOM)

KEPT_MEANWHILE = gettext_lazy("Desks keep what they read and send it again by themselves.")
MENDED = {
    FULL: gettext_lazy("Make room on it: empty the wastebasket, move large files away, but touch nothing in {folder}."),
    READ_ONLY: gettext_lazy(
        "Something has made it read-only: often a fault of the disk. Copy {folder} away while it can be read, "
        "then start the laptop again."
    ),
    FAILING: gettext_lazy(
        "Reading or writing {folder} fails. Move to another laptop with the last copy if it happens again."
    ),
    DAMAGED: gettext_lazy("Stop Tanbark and start it again: it names the last good copy and how to go on from it."),
    AWAY: gettext_lazy("Look whether the database server runs and can be reached."),
}
WRONG = {
    FULL: gettext_lazy("Nothing can be saved: the disk is full."),
    READ_ONLY: gettext_lazy("Nothing can be saved: the disk can only be read."),
    FAILING: gettext_lazy("Nothing can be saved: the disk fails."),
    DAMAGED: gettext_lazy("The database is damaged."),
    AWAY: gettext_lazy("Nothing can be saved: the database server does not answer."),
}


@dataclass(frozen=True)
class Notice:
    """`urgent`: act now, or readings wait or may be lost."""

    title: str
    text: str
    urgent: bool
    about_copies: bool = False


@dataclass(frozen=True)
class Banner:
    """`copy` is how old the last good copy is, in words."""

    notices: tuple[Notice, ...]
    copy: str

    @property
    def version(self) -> str:
        return hashlib.sha256(repr(self).encode()).hexdigest()[:12]


def banner() -> Banner:
    told = read_report()
    notices = [_trouble(), _little_room(), *_copies(told)]
    return Banner(tuple(notice for notice in notices if notice), last_copy(told))


def _trouble() -> Notice | None:
    now = trouble()
    if now is None:
        return None
    mending = MENDED[now.kind].format(folder=settings.DATA_FOLDER)
    return Notice(
        str(WRONG[now.kind]),
        " ".join([_("Since {time:%H:%M}.").format(time=now.since), mending, str(KEPT_MEANWHILE)]),
        urgent=True,
    )


def _little_room() -> Notice | None:
    global _room
    if time.monotonic() - _room[0] > ROOM_IS_GOOD_FOR:
        try:
            _room = (time.monotonic(), room_left(Path(settings.DATA_FOLDER)))
        except OSError:
            return None  # the next save says more
    left = _room[1]
    now = trouble()
    if left >= LITTLE_ROOM or (now and now.kind == FULL):
        return None
    if left < NEEDED:
        text = _("Hardly anything is left where {folder} is.").format(folder=settings.DATA_FOLDER)
        text = f"{text} {MENDED[FULL].format(folder=_('that folder'))}"
        return Notice(_("The disk is all but full."), text, urgent=True)
    # In steps, or the notice would be new at every look.
    shown = megabytes(left // 10_000_000 * 10_000_000)
    text = _("About {shown} left where {folder} is. Make room soon; when it is full, nothing can be saved.").format(
        shown=shown, folder=settings.DATA_FOLDER
    )
    return Notice(_("The disk is nearly full."), text, urgent=False)


def _copies(told: KeeperReport | None) -> Iterator[Notice]:
    if told is None:
        return
    if told.is_late:
        why = _("whoever makes them has stopped: stop Tanbark and start it again") if told.silent else told.trouble
        if told.age is None:
            good = (
                _("There is no good copy, and things have changed since") if told.behind else _("There is no good copy")
            )
        elif told.behind:
            good = _("The last good copy is {age} old, and things have changed since").format(age=how_long(told.age))
        else:
            good = _("The last good copy is {age} old").format(age=how_long(told.age))
        text = f"{good}: {why}." if why else f"{good}."
        yield Notice(_("No copies are being made."), text, urgent=True, about_copies=True)
    elif told.away:
        text = _("{away} is not there. Copies go to {shelf} until it is back.").format(away=told.away, shelf=told.shelf)
        yield Notice(_("Copies go to the laptop itself."), text, urgent=False, about_copies=True)
