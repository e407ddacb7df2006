"""Before `up` does anything: is everything as it was left? Where not, what is wrong, and what to start from."""

from __future__ import annotations

import sys
from collections.abc import Callable, Collection
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.copies.files import CopyFailed
from contest.copies.making import make_copy
from contest.copies.places import all_copies, chosen_shelf, on_same_disk, present_shelf, shelves
from contest.copies.report import how_long
from contest.copies.shelf import Copy, said_why
from contest.disk.integrity import Damage, Migration, look_at_database, look_at_folder, look_at_version
from contest.disk.used import DATABASE, mark_used
from contest.models import own_id
from scoring.core.explain import listed


class NotAsItWas(Exception):
    """Says what is wrong with the data folder, and how to go on."""


def known_migrations() -> set[Migration]:
    return set(MigrationLoader(None).disk_migrations)


def look_at_disk() -> None:
    """Raises NotAsItWas where nothing could be saved in the data folder."""
    folder = Path(settings.DATA_FOLDER)
    try:
        look_at_folder(folder)
    except Damage as damage:
        raise NotAsItWas(in_full(damage, folder)) from damage


def look_at_data(say: Callable[[str], None]) -> None:
    """Look at the database before anything is done with it, with the folder held. Raises NotAsItWas.

    A database that an older version made is copied before it is changed.
    """
    folder = Path(settings.DATA_FOLDER)
    known = known_migrations()
    try:
        if connection.vendor == "sqlite":
            is_older = look_at_database(folder / DATABASE, known)
        else:
            is_older = _look_at_server(known)
    except Damage as damage:
        raise NotAsItWas(in_full(damage, folder)) from damage
    if is_older:
        why = gettext_noop("before a newer version changed the database")
        try:
            copy = make_copy(present_shelf(), why, besides=shelves())
        except CopyFailed as problem:
            raise NotAsItWas(without_a_copy(problem, folder)) from problem
        say(
            _("Copy         {number}, made before this newer version changes the database: {path}").format(
                number=copy.number, path=copy.path
            )
        )


def remember() -> None:
    """Write down that this folder is in use, and with which database."""
    mark_used(Path(settings.DATA_FOLDER), own_id())


def where_copies_go() -> str:
    """For whoever starts the server: where copies are put, and what that is good for."""
    shelf = present_shelf()
    chosen = chosen_shelf()
    if chosen and shelf != chosen:
        return _("go to {shelf} until {parent} is there").format(shelf=shelf, parent=chosen.parent)
    if on_same_disk(shelf):
        return _("every five minutes, to this same disk ({shelf}); --copies DIR puts them on a memory stick").format(
            shelf=shelf
        )
    return _("every five minutes, to {shelf}").format(shelf=shelf)


def in_full(damage: Damage, folder: Path) -> str:
    """What is wrong, and what to start from."""
    lines = [str(damage), _("Nothing was changed.")]
    if not damage.lost:
        if damage.kind in ("full", "read-only"):
            lines.append(_("Mend that, and start again."))
        return "\n".join(lines)
    copies = all_copies()
    good = next((copy for copy in copies if copy.tallied), None) or next(iter(copies), None)
    if good is None:
        places = listed(str(shelf) for shelf in shelves())
        lines += [
            _(
                "There is no copy in {places}. If a memory stick has one, plug it in; then, with its folder or .zip:"
            ).format(places=places),
            f"    {command('restore', 'COPY', folder)}",
            _("To start with nothing, name a new folder: --data DIR"),
        ]
    else:
        lines += [
            _("The last good copy is {copy}").format(copy=described(good)),
            _("Start from it (the database that is there now is put aside, not deleted):"),
            f"    {command('restore', str(good.number), folder)}",
        ]
    return "\n".join(lines)


def without_a_copy(problem: CopyFailed, folder: Path) -> str:
    """Why a newer version did not begin with a copy, and what to do about it."""
    lines = [
        _(
            "This newer version changes the database, and copies it before that. The copy could not be made: {why}"
        ).format(why=problem),
        _("Nothing was changed."),
        _("Make room there, such as by deleting downloads that nobody needs, and start again."),
        _("Or have copies put elsewhere, such as on a memory stick:"),
        f"    {command('up', '--copies DIR', folder)}",
    ]
    return "\n".join(lines)


def described(copy: Copy) -> str:
    """A copy in words: number, when, how old, and the contest that changed last."""
    age = (timezone.now() - copy.at).total_seconds()
    old = _("{age} ago").format(age=how_long(age)) if age >= 0 else _("after what the clock says now")
    latest = copy.latest
    held = (
        _("{name}, revision {revision}").format(name=latest.name, revision=latest.revision)
        if latest
        else _("no contest")
    )
    return _("{number}, made {at:%Y-%m-%d %H:%M:%S}, {old} ({why}): {held}; {path}").format(
        number=copy.number, at=copy.at, old=old, why=said_why(copy), held=held, path=copy.path
    )


def command(name: str, option: str, folder: Path) -> str:
    """A command line of ours, as it is typed here."""
    python = "py" if sys.platform == "win32" else "python3"
    data = f' --data "{folder}"' if folder != settings.BASE_DIR / ".data" else ""
    return f"{python} manage.py {name} {option}{data}"


def _look_at_server(known: Collection[Migration]) -> bool:
    """The same for a database server: raises Damage where it is of another version or only lets read."""
    made = MigrationLoader(connection).applied_migrations
    name = connection.settings_dict["NAME"]
    look_at_version(_("The database {name}").format(name=name), made, known)
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('transaction_read_only'), pg_is_in_recovery()")
        read_only, standby = cursor.fetchone()
    if read_only == "on" or standby:
        raise Damage("read-only", _("The database {name} can only be read.").format(name=name), lost=False)
    return False
