"""`manage.py export_book`: write a contest of the database as a book."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _

from contest.book import write_book
from contest.management.messages import looking_for_contest
from contest.models import Contest
from contest.records.day import load_record_with_day
from contest.records.left_behind import left_behind
from contest.trail import sentence
from contest.trail.noting import note_at_terminal


class Command(BaseCommand):
    help = _("Write a contest as a contest book: a folder, or a zip where the name ends in .zip.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help=_("the contest's number in this database"))
        parser.add_argument("path", help=_("where to write it; must not hold anything yet"))
        parser.add_argument("--replace", action="store_true", help=_("write over a book that is already there"))

    def handle(self, *, contest: int, path: str, replace: bool, **options: Any) -> None:
        target = Path(path)
        is_taken = target.is_file() or (target.is_dir() and any(target.iterdir()))
        if is_taken and not replace:
            raise CommandError(
                _("{path} is not empty; give another name, or --replace to write over it").format(path=path)
            )
        with looking_for_contest(contest):
            record = load_record_with_day(contest)
        try:
            write_book(record, target)
        except OSError as error:
            raise CommandError(
                _("{path}: the book cannot be written there: {strerror}").format(path=path, strerror=error.strerror)
            ) from None
        note_at_terminal(sentence("book_written"), contest)
        self.stdout.write(_("{name} written to {path}").format(name=record.rules.name, path=path))
        if missing := left_behind(Contest.objects.get(pk=contest)):
            self.stdout.write(missing)
