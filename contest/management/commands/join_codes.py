"""`manage.py join_codes CONTEST`: the codes that let helpers in."""

from typing import Any

from django.core.management import BaseCommand, CommandParser
from django.utils.translation import gettext as _

from contest.helpers.codes import SHARED, codes_of, renew_code, tablet_codes
from contest.management.messages import looking_for_contest
from contest.models import Contest, Duty


class Command(BaseCommand):
    help = _("Print the join codes of a contest: one a duty, and one for the tablet of each reasons official.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("contest", type=int, help=_("the contest's number in this database"))
        parser.add_argument(
            "--new",
            choices=SHARED,
            metavar="DUTY",
            help=_("first make a new code for {duties}").format(duties=", ".join(SHARED)),
        )
        parser.add_argument("--by", default="terminal", help=_("who asks for a new code, for the trail"))

    def handle(self, *, contest: int, new: str | None, by: str, **options: Any) -> None:
        with looking_for_contest(contest):
            row = Contest.objects.get(pk=contest)
        if new:
            renew_code(row, Duty(new), by)
        for duty, code in codes_of(row).items():
            self.stdout.write(f"{code}  {Duty(duty).label}")
        officials = dict(row.reasons_officials.values_list("pk", "name"))
        for official, code in tablet_codes(row).items():
            self.stdout.write(
                _("{code}  Reasons room: the tablet of {official}").format(code=code, official=officials[official])
            )
