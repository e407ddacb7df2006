"""`manage.py tally`: score a book with no server, touching no database."""

import shutil
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.book import write_results
from contest.management.messages import add_book, book_of
from scoring.core.tally import tally
from scoring.standings.terminal import result_text, unsettled_lines

PIPED_WIDTH = 100


class Command(BaseCommand):
    help = _("Score a contest book. Without --out, print the top of every list; with it, write the four result files.")
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        add_book(parser)
        parser.add_argument("--out", metavar="DIR", help=_("the folder to write the result files to"))

    def handle(self, *, book: str, every_problem: bool, out: str | None, **options: Any) -> None:
        record = book_of(book, every_problem)
        result = tally(record)
        if not out:
            width = shutil.get_terminal_size().columns if self.stdout.isatty() else PIPED_WIDTH
            self.stdout.write(result_text(record, result, width), ending="")
            return
        try:
            write_results(record, result, out)
        except OSError as error:
            words = _("{path}: the results cannot be written there: {error}")
            raise CommandError(words.format(path=out, error=error.strerror)) from None
        people = len(record.contestants)
        words = ngettext(
            "{name}: results of {count} contestant written to {folder}",
            "{name}: results of {count} contestants written to {folder}",
            people,
        )
        self.stdout.write(words.format(name=record.rules.name, count=people, folder=out))
        for line in unsettled_lines(result):
            self.stderr.write(_("not settled: {card}").format(card=line))
