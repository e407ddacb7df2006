"""`manage.py study`: what can be learnt from contests that are over, from their books alone."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, override

from contest.management.messages import book_of
from scoring.results.publishing import NotOurs
from scoring.results.study_writing import write_study


class Command(BaseCommand):
    help = _("Look back on contests: how each class was placed, what it told, what another cut would have changed.")
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("books", nargs="+", metavar="book", help=_("a book's folder, or a .zip of it; any number"))
        parser.add_argument("--out", metavar="DIR", required=True, help=_("the folder to write pages and figures to"))
        parser.add_argument(
            "--all",
            action="store_true",
            dest="every_problem",
            help=_("list every problem of a broken book, a line each"),
        )
        parser.add_argument(
            "--language",
            choices=[code for code, _name in settings.LANGUAGES],
            default=settings.LANGUAGE_CODE,
            help=_("the language that the pages are written in"),
        )

    def handle(self, *, books: list[str], out: str, every_problem: bool, language: str, **options: Any) -> None:
        records = [book_of(book, every_problem) for book in books]
        try:
            with override(language):
                write_study(records, Path(out))
        except NotOurs as problem:
            raise CommandError(str(problem)) from None
        except OSError as error:
            words = _("{path}: the pages cannot be written there: {error}")
            raise CommandError(words.format(path=out, error=error.strerror)) from None
        words = ngettext(
            "{count} contest looked back on. Open {folder}/index.html",
            "{count} contests looked back on. Open {folder}/index.html",
            len(records),
        )
        self.stdout.write(words.format(count=len(records), folder=out))
