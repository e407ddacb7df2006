"""`manage.py join_codes CONTEST`: the codes that let helpers in."""

from django.core.management import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError

from contest.helpers.codes import codes_of, renew_code
from contest.management.messages import contest_label
from contest.models import Contest, Duty


class Command(BaseCommand):
    help = "Print the join codes of a contest, one a duty."

    def add_arguments(self, parser):
        parser.add_argument("contest", type=int, help="the contest's number in this database")
        parser.add_argument(
            "--new", choices=Duty.values, metavar="DUTY", help=f"first make a new code for {', '.join(Duty.values)}"
        )
        parser.add_argument("--by", default="terminal", help="who asks for a new code, for the trail")

    def handle(self, *, contest, new, by, **options):
        try:
            found = Contest.objects.get(pk=contest)
        except (OperationalError, ProgrammingError):
            raise CommandError("there is no database yet; `python3 manage.py up` or `import_book` makes it") from None
        except Contest.DoesNotExist:
            known = "\n".join(map(contest_label, Contest.objects.all())) or "none yet"
            raise CommandError(f"there is no contest {contest}. Contests here:\n{known}") from None
        if new:
            renew_code(found, Duty(new), by)
        for duty, code in codes_of(found).items():
            self.stdout.write(f"{code}  {Duty(duty).label}")
