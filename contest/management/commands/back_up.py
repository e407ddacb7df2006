"""`manage.py back_up DIR`: a copy of everything, taken while the contest goes on."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from contest.copies.files import CopyFailed
from contest.copies.making import make_at
from contest.copies.shelf import Copy
from contest.disk.room import megabytes
from contest.management.messages import needing_database
from contest.models import Contest


class Command(BaseCommand):
    help = _(
        "Copy everything but printed files to a new folder, also while `up` is serving. `up --data` starts from it."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", type=Path, help=_("where to; new or empty, such as one on a memory stick"))

    def handle(self, *, folder: Path, **options: Any) -> None:
        with needing_database():
            Contest.objects.exists()
        folder = folder.expanduser().absolute()
        try:
            copy = self.copy_to(folder)
        except CopyFailed as problem:
            raise CommandError(str(problem)) from None
        except OSError as error:
            raise CommandError(
                _("{folder}: the copy cannot be written there: {strerror}").format(
                    folder=folder, strerror=error.strerror
                )
            ) from None
        for contest in copy.contests:
            self.stdout.write(
                _("{key}  {name}, revision {revision}").format(
                    key=contest.pk, name=contest.name, revision=contest.revision
                )
            )
        text = _("Copied to {path}, {size}, and looked through: it holds together.")
        if copy.tallied:
            text = _(
                "Copied to {path}, {size}, and looked through: it holds together, and every contest in it was scored."
            )
        self.stdout.write(text.format(path=copy.path, size=megabytes(copy.size)))
        self.stdout.write(
            _("It holds names, the passwords' hashes and the secret key: keep it as safe as the entry list.")
        )

    def copy_to(self, folder: Path) -> Copy:
        if folder.exists() and not (folder.is_dir() and not any(folder.iterdir())):
            raise CopyFailed(
                _("{folder} is there and not empty; name a new folder, so that no earlier copy is lost").format(
                    folder=folder
                )
            )
        folder.parent.mkdir(parents=True, exist_ok=True)
        if folder.exists():  # a rename onto an empty folder is possible on some systems only
            folder.rmdir()
        return make_at(folder, gettext_noop("asked for with back_up"))
