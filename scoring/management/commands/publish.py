"""`manage.py publish`: a static copy of the released results."""

from pathlib import Path

from django.core.management import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError

from contest.management.messages import contest_label
from contest.models import Contest
from contest.reading import NotPossible
from scoring.explain import counted
from scoring.results.publishing import publish


class Command(BaseCommand):
    help = "Write a static copy of a contest's released results, for any web server or to open from a folder."

    def add_arguments(self, parser):
        parser.add_argument("contest", type=int, help="the contest's number in this database")
        parser.add_argument("folder", help="where to write it; an earlier copy there is replaced at once, as a whole")

    def handle(self, *, contest, folder, **options):
        try:
            found = Contest.objects.get(pk=contest)
        except (OperationalError, ProgrammingError):
            raise CommandError("there is no database yet; `python3 manage.py up` or `import_book` makes it") from None
        except Contest.DoesNotExist:
            known = "\n".join(map(contest_label, Contest.objects.all())) or "none yet"
            raise CommandError(f"there is no contest {contest}. Contests here:\n{known}") from None
        try:
            pages = publish(found, Path(folder))
        except NotPossible as problem:
            raise CommandError(f"{found.name}: {problem}") from None
        except OSError as error:
            raise CommandError(f"{folder}: the copy cannot be written there: {error.strerror}") from None
        self.stdout.write(f"{found.name}: {counted(pages, 'page')} written to {folder}. Open {folder}/index.html")
