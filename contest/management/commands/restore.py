"""`manage.py restore COPY`: start from a copy. What is in force is put aside, and nothing newer is lost unasked."""

import shutil
import tempfile
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.db import connection, connections
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest import data_folder
from contest.copies.files import CopyFailed
from contest.copies.making import make_copy
from contest.copies.places import find_copy, present_shelf, shelves
from contest.copies.restoring import (
    CannotRestore,
    Restored,
    bring_here,
    change_over,
    in_force,
    scratch_in,
    unpack,
    would_be_lost,
)
from contest.copies.shelf import ContestInCopy
from contest.disk.integrity import Damage, look_at_folder
from contest.disk.used import DATABASE
from contest.health.start import command, known_migrations


class Command(BaseCommand):
    help = _("Start from a copy. The database in force is put aside, never deleted.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "copy", help=_("a number from `copies`, a copy's folder, or a .zip of it that was downloaded")
        )
        parser.add_argument("--data", metavar="DIR", help=_("the folder that holds all state (or TANBARK_DATA)"))
        parser.add_argument("--copies", metavar="DIR", help=_("the folder of choice for copies (or TANBARK_COPIES)"))
        parser.add_argument("--over-newer", action="store_true", help=_("although what is in force is newer"))

    def handle(self, *, copy: str, over_newer: bool, **options: Any) -> None:
        if connection.vendor != "sqlite":
            raise CommandError(
                _(
                    "the database is a server's own. Stop Tanbark, then: pg_restore --clean --if-exists --dbname=NAME "
                    "COPY/database.dump, and put the copy's secret-key into the data folder"
                )
            )
        folder = Path(settings.DATA_FOLDER)
        try:
            look_at_folder(folder)
            with data_folder.held_by_one(folder, "restore"):
                self.restore(copy, folder, over_newer)
        except (CannotRestore, CopyFailed, Damage, data_folder.InUse) as problem:
            raise CommandError(_("{problem}\nNothing was changed.").format(problem=problem)) from None
        except OSError as error:
            raise CommandError(f"{error.filename or folder}: {error.strerror or error}") from None

    def restore(self, text: str, folder: Path, over_newer: bool) -> None:
        scratch = scratch_in(folder)
        try:
            known = find_copy(text)
            with tempfile.TemporaryDirectory(dir=scratch) as unpacked:
                source = known.path if known else unpack(Path(text).expanduser().absolute(), Path(unpacked))
                self.stdout.write(_("Looking through {source} ...").format(source=source))
                brought = bring_here(source, scratch, known_migrations())
            self.keep_what_is_newer(folder, [ContestInCopy(**contest) for contest in brought["contests"]], over_newer)
            restored = change_over(folder, scratch, brought, source)
        finally:
            shutil.rmtree(scratch, ignore_errors=True)
        self.tell(restored, folder)

    def keep_what_is_newer(self, folder: Path, held: list[ContestInCopy], over_newer: bool) -> None:
        now = in_force(folder)
        if now is None:
            self.stdout.write(_("{file} cannot be read, so nothing in it is compared.").format(file=folder / DATABASE))
            return
        if lost := would_be_lost(now, held):
            listed = "\n".join(f"  - {line}" for line in lost)
            if not over_newer:
                raise CannotRestore(
                    _(
                        "What is in force is newer than the copy. This would be lost:\n{listed}\nTo start "
                        "from the copy all the same, add --over-newer."
                    ).format(listed=listed)
                )
            self.stdout.write(_("Newer than the copy, and put aside:\n{listed}").format(listed=listed))
        if now:
            copy = make_copy(present_shelf(), gettext_noop("before a restore"), besides=shelves())
            self.stdout.write(
                _("What is in force was copied first: {number}, {path}").format(number=copy.number, path=copy.path)
            )
        connections.close_all()

    def tell(self, restored: Restored, folder: Path) -> None:
        if restored.aside:
            self.stdout.write(_("What was in force before is in {aside}").format(aside=restored.aside))
        self.stdout.write(_("In force now:") if restored.contests else _("In force now: no contest."))
        for contest in restored.contests:
            text = _("  {key}  {name}, revision {revision}, {people} contestants, {cards} cards read")
            said = [
                text.format(
                    key=contest.pk,
                    name=contest.name,
                    revision=contest.revision,
                    people=contest.contestants,
                    cards=contest.readings,
                )
            ]
            if contest.changed:
                said.append(_("last changed {time} UTC").format(time=contest.changed[:19]))
            if contest.in_bin:
                said.append(_("in the bin"))
            self.stdout.write(", ".join(said))
        self.stdout.write(_("Start with: {command}").format(command=" ".join(command("up", "", folder).split())))
