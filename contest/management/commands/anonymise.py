"""`manage.py anonymise`: take every name of a person out of a contest that is over."""

from typing import Any

from django.core.management import BaseCommand, CommandParser
from django.utils.translation import gettext as _

from contest.management.messages import looking_for_contest
from contest.models import Contest
from contest.privacy.anonymising import anonymise, what_goes, work_ahead
from contest.trail.names import TERMINAL


class Command(BaseCommand):
    help = _("Take every name of a person out of a contest that is over, for good. Results stay, by number.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help=_("the contest's number in this database"))
        parser.add_argument("--yes", action="store_true", help=_("do it; without this, only say what would go"))

    def handle(self, *, contest: int, yes: bool, **options: Any) -> None:
        with looking_for_contest(contest):
            row = Contest.objects.get(pk=contest)
        goes = ", ".join(what_goes(row)) or _("nobody who is entered by name")
        if not yes:
            self.stdout.write(
                _("{name}: this would make anonymous: {goes}. With --yes it does, for good.").format(
                    name=row.name, goes=goes
                )
            )
            return
        anonymise(row, TERMINAL, work_ahead(row))
        self.stdout.write(
            _("{name}: made anonymous: {goes}. Copies that were made before still hold the names.").format(
                name=row.name, goes=goes
            )
        )
