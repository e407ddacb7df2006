"""`manage.py publish`: a static copy of the released results."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, override

from contest.changes.exceptions import NotPossible
from contest.management.messages import looking_for_contest
from contest.models import Contest
from scoring.core.points import in_thousands
from scoring.results.publishing import publish


class Command(BaseCommand):
    help = _("Write a static copy of a contest's released results, for any web server or to open from a folder.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help=_("the contest's number in this database"))
        parser.add_argument(
            "folder", help=_("where to write it; an earlier copy there is replaced at once, as a whole")
        )
        parser.add_argument(
            "--language",
            choices=[code for code, _name in settings.LANGUAGES],
            default=settings.LANGUAGE_CODE,
            help=_("the language that the copy is written in"),
        )

    def handle(self, *, contest: int, folder: str, language: str, **options: Any) -> None:
        with looking_for_contest(contest):
            row = Contest.objects.get(pk=contest)
        try:
            with override(language):
                pages = publish(row, Path(folder))
        except NotPossible as problem:
            raise CommandError(f"{row.name}: {problem}") from None
        except OSError as error:
            words = _("{path}: the copy cannot be written there: {error}")
            raise CommandError(words.format(path=folder, error=error.strerror)) from None
        words = ngettext(
            "{name}: {count} page written to {folder}. Open {folder}/index.html",
            "{name}: {count} pages written to {folder}. Open {folder}/index.html",
            pages,
        )
        self.stdout.write(words.format(name=row.name, count=in_thousands(pages), folder=folder))
