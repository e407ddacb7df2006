"""Making a copy: one way, whoever asks, be it the clock, a milestone, a button or `manage.py back_up`."""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from django.conf import settings
from django.db import connection
from django.utils import timezone
from django.utils.translation import gettext as _

from contest.background import start_child
from contest.copies import dumps
from contest.copies.files import CopyFailed, copy_kept, sync_all, sync_folder
from contest.copies.shelf import HALF, ContestInCopy, Copy, copies_in, name_of, next_number, throw_away, write_about
from contest.disk.room import MEGABYTE, megabytes, room_left

ROOM_TO_LEAVE = 100 * MEGABYTE
FEWEST = 3
"""So many copies stay, however full the disk is."""


def make_copy(shelf: Path, why: str, state: Sequence[Any] = (), besides: Sequence[Path] = ()) -> Copy:
    """Put a new copy of everything on a shelf, and give it back once it is whole, on the disk and looked through.

    Its number is above all others on the shelf and on those `besides`. Every contest in it is scored, unless an older
    version made the database. Raises CopyFailed and OSError; then nothing is left of it.
    """
    shelf.mkdir(mode=0o700, parents=True, exist_ok=True)
    make_room(shelf)
    now = timezone.now()
    number = next_number([shelf, *besides])
    return make_at(shelf / name_of(number, timezone.localtime(now)), why, number, state)


def make_at(final: Path, why: str, number: int = 0, state: Sequence[Any] = ()) -> Copy:
    """Make a copy that becomes the folder `final`, which must not be there; see make_copy."""
    made = Path(mkdtemp(prefix=HALF, dir=final.parent))  # for nobody else's eyes, as the folder in use
    try:
        if connection.vendor == "sqlite":
            contents = ask_child(made, source_database())
        else:
            contents = dumps.dump(made)
            copy_kept(settings.DATA_FOLDER, made)
            sync_all(made)
        copy = Copy(
            path=made,
            number=number,
            at=timezone.localtime(),
            why=why,
            size=contents["size"],
            digest=contents["digest"],
            database=contents["database"],
            tallied=contents["tallied"],
            state=list(state),
            contests=tuple(ContestInCopy(**contest) for contest in contents["contests"]),
        )
        write_about(copy)
        sync_all(made)
        made.rename(final)
        sync_folder(final.parent)
    finally:
        shutil.rmtree(made, ignore_errors=True)
    return Copy(**{**vars(copy), "path": final})


def source_database() -> Path:
    return Path(connection.settings_dict["NAME"]).absolute()


def ask_child(made: Path, source: Path | None) -> dict[str, Any]:
    """Have a child process copy `source` to the folder `made` and look through it; without a source, only look through
    what is there. Raises CopyFailed."""
    order = {
        "source": source and str(source),
        "data_folder": str(settings.DATA_FOLDER),
        "made": str(made),
    }
    with start_child("contest.copies.child", json.dumps(order)) as child:
        assert child.stdout is not None
        said = child.stdout.read()
    try:
        reply: dict[str, Any] = json.loads(said)
    except ValueError:
        raise CopyFailed(
            _("the process that copies ended without a word (code {returncode})").format(returncode=child.returncode)
        ) from None
    if "problem" in reply:
        raise CopyFailed(reply["problem"])
    return reply


def make_room(shelf: Path) -> None:
    """Where the disk gets full, old copies go before the contest has to. Raises CopyFailed where that is not enough."""
    needed = ROOM_TO_LEAVE + (2 * source_database().stat().st_size if connection.vendor == "sqlite" else 0)
    for copy in reversed(copies_in(shelf)[FEWEST:]):
        if room_left(shelf) >= needed:
            return
        throw_away(copy.path)
    if (left := room_left(shelf)) < needed:
        raise CopyFailed(
            _("{shelf} has {left} left; a copy needs {needed}").format(
                shelf=shelf, left=megabytes(left), needed=megabytes(needed)
            )
        )
