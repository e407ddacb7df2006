"""`manage.py as_of`: write a contest as it was at a revision, as a book."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser

from contest.book import write_book
from contest.history.past import NotKept, as_of
from contest.management.messages import looking_for_contest
from contest.records.day import without_marks_of_nobody


class Command(BaseCommand):
    help = "Write a contest as it was at a revision, as a contest book. The trail tells the revisions."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help="the contest's number in this database")
        parser.add_argument("revision", type=int, help="the revision, as the trail counts them")
        parser.add_argument("book", help="where to write it, a folder or a .zip; must not be there yet")

    def handle(self, *, contest: int, revision: int, book: str, **options: Any) -> None:
        target = Path(book)
        if target.is_file() or (target.is_dir() and any(target.iterdir())):
            raise CommandError(f"{book} is there already; give another name")
        with looking_for_contest(contest):
            try:
                record = as_of(contest, revision)
            except NotKept as why:
                raise CommandError(f"contest {contest} at revision {revision}: {why}") from None
        try:
            write_book(without_marks_of_nobody(record), target)
        except OSError as error:
            raise CommandError(f"{book}: the book cannot be written there: {error.strerror}") from None
        self.stdout.write(f"{record.rules.name} as it was at revision {revision}, written to {book}")
