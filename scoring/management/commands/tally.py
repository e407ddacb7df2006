"""`manage.py tally`: score a book with no server, touching no database."""

import shutil
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser

from contest.book import write_results
from contest.management.messages import add_book, book_of
from scoring.core.tally import tally
from scoring.standings.terminal import result_text, unsettled_lines

PIPED_WIDTH = 100


class Command(BaseCommand):
    help = "Score a contest book. Without --out, print the top of every list; with it, write the four result files."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        add_book(parser)
        parser.add_argument("--out", metavar="DIR", help="the folder to write the result files to")

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
            raise CommandError(f"{out}: the results cannot be written there: {error.strerror}") from None
        self.stdout.write(f"{record.rules.name}: results of {len(record.contestants)} contestants written to {out}")
        for line in unsettled_lines(result):
            self.stderr.write(f"not settled: {line}")
