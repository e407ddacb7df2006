"""`manage.py anonymise`: take every name of a person out of a contest that is over."""

from typing import Any

from django.core.management import BaseCommand, CommandParser

from contest.management.messages import looking_for_contest
from contest.models import Contest
from contest.privacy.anonymising import anonymise, what_goes, work_ahead
from contest.trail.names import TERMINAL


class Command(BaseCommand):
    help = "Take every name of a person out of a contest that is over, for good. Results stay, by number."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help="the contest's number in this database")
        parser.add_argument("--yes", action="store_true", help="do it; without this, only say what would go")

    def handle(self, *, contest: int, yes: bool, **options: Any) -> None:
        with looking_for_contest(contest):
            row = Contest.objects.get(pk=contest)
        goes = ", ".join(what_goes(row)) or "nobody who is entered by name"
        if not yes:
            self.stdout.write(f"{row.name}: this would make anonymous: {goes}. With --yes it does, for good.")
            return
        anonymise(row, TERMINAL, work_ahead(row))
        self.stdout.write(f"{row.name}: made anonymous: {goes}. Copies that were made before still hold the names.")
