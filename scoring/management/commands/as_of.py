"""`manage.py as_of`: write a contest as it was at a revision, as a book."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _

from contest.book import write_book
from contest.history.past import NotKept, as_of
from contest.management.messages import looking_for_contest
from contest.records.day import without_marks_of_nobody


class Command(BaseCommand):
    help = _("Write a contest as it was at a revision, as a contest book. The trail tells the revisions.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help=_("the contest's number in this database"))
        parser.add_argument("revision", type=int, help=_("the revision, as the trail counts them"))
        parser.add_argument("book", help=_("where to write it, a folder or a .zip; must not be there yet"))

    def handle(self, *, contest: int, revision: int, book: str, **options: Any) -> None:
        target = Path(book)
        if target.is_file() or (target.is_dir() and any(target.iterdir())):
            raise CommandError(_("{path} is there already; give another name").format(path=book))
        with looking_for_contest(contest):
            try:
                record = as_of(contest, revision)
            except NotKept as why:
                words = _("contest {number} at revision {revision}: {reason}")
                raise CommandError(words.format(number=contest, revision=revision, reason=why)) from None
        try:
            write_book(without_marks_of_nobody(record), target)
        except OSError as error:
            words = _("{path}: the book cannot be written there: {error}")
            raise CommandError(words.format(path=book, error=error.strerror)) from None
        words = _("{name} as it was at revision {revision}, written to {path}")
        self.stdout.write(words.format(name=record.rules.name, revision=revision, path=book))
