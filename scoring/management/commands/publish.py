"""`manage.py publish`: a static copy of the released results."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser

from contest.changes.exceptions import NotPossible
from contest.management.messages import looking_for_contest
from contest.models import Contest
from scoring.core.explain import counted
from scoring.results.publishing import publish


class Command(BaseCommand):
    help = "Write a static copy of a contest's released results, for any web server or to open from a folder."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help="the contest's number in this database")
        parser.add_argument("folder", help="where to write it; an earlier copy there is replaced at once, as a whole")

    def handle(self, *, contest: int, folder: str, **options: Any) -> None:
        with looking_for_contest(contest):
            row = Contest.objects.get(pk=contest)
        try:
            pages = publish(row, Path(folder))
        except NotPossible as problem:
            raise CommandError(f"{row.name}: {problem}") from None
        except OSError as error:
            raise CommandError(f"{folder}: the copy cannot be written there: {error.strerror}") from None
        self.stdout.write(f"{row.name}: {counted(pages, 'page')} written to {folder}. Open {folder}/index.html")
