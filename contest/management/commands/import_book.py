"""`manage.py import_book`: make a contest in the database of a book."""

from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _

from contest import data_folder
from contest.copies.files import CopyFailed
from contest.health import start
from contest.management.messages import add_book, book_of, contest_label
from contest.records import save_in_pieces, sweep_abandoned
from contest.serving.borne import migrate_if_behind


class Command(BaseCommand):
    help = _("Make a new contest of a contest book. What is in the database already stays as it is.")

    def add_arguments(self, parser: CommandParser) -> None:
        add_book(parser)
        parser.add_argument("--by", default="terminal", help=_("who imports it, for the trail"))

    def handle(self, *, book: str, every_problem: bool, by: str, verbosity: int, **options: Any) -> None:
        record = book_of(book, every_problem)
        try:
            start.look_at_disk()
            start.look_at_data(self.stdout.write)
        except (start.NotAsItWas, CopyFailed) as problem:
            raise CommandError(str(problem)) from None
        data_folder.prepare(settings.DATA_FOLDER)
        migrate_if_behind()
        sweep_abandoned()
        contest = save_in_pieces(record, by)
        if verbosity:
            self.stdout.write(contest_label(contest))
