"""`manage.py copies`: which copies there are."""

from typing import Any

from django.core.management import BaseCommand, CommandParser
from django.utils.translation import gettext as _

from contest.copies.places import all_copies, is_there, on_same_disk, shelves
from contest.disk.room import megabytes
from contest.health.start import described


class Command(BaseCommand):
    help = _("List the copies that `up` makes by itself, the newest first; `restore NUMBER` starts from one.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--data", metavar="DIR", help=_("the folder that holds all state (or TANBARK_DATA)"))
        parser.add_argument("--copies", metavar="DIR", help=_("the folder of choice for copies (or TANBARK_COPIES)"))

    def handle(self, **options: Any) -> None:
        for shelf in shelves():
            if not is_there(shelf):
                self.stdout.write(_("{parent} is not there.").format(parent=shelf.parent))
            elif shelf.exists() and on_same_disk(shelf):
                self.stdout.write(_("{shelf} is on the same disk as the contest.").format(shelf=shelf))
        copies = all_copies()
        for copy in copies:
            scored = "" if copy.tallied else f"; {_('looked through, not scored')}"
            self.stdout.write(f"{described(copy)}; {megabytes(copy.size)}{scored}")
        if not copies:
            self.stdout.write(
                _("There is no copy yet; `up` makes them while it serves, and `back_up DIR` makes one now.")
            )
