"""`manage.py back_up DIR`: a copy of everything, taken while the contest goes on."""

from pathlib import Path

from django.core.management import BaseCommand, CommandError

from contest.backing_up import back_up
from contest.management.messages import contest_label, needing_database
from contest.models import Contest
from contest.reading import NotPossible


class Command(BaseCommand):
    help = "Copy everything but printed files to a new folder, also while `up` is serving. `up --data` starts from it."

    def add_arguments(self, parser):
        parser.add_argument("folder", type=Path, help="where to; new or empty, such as one on a memory stick")

    def handle(self, *, folder, **options):
        with needing_database():
            contests = list(Contest.objects.all())
        try:
            copy = back_up(folder.expanduser().absolute())
        except NotPossible as problem:
            raise CommandError(str(problem)) from None
        except OSError as error:
            raise CommandError(f"{folder}: the copy cannot be written there: {error.strerror}") from None
        for contest in contests:
            self.stdout.write(f"{contest_label(contest)}, revision {contest.revision}")
        self.stdout.write(
            f"Copied to {copy.parent}, {copy.stat().st_size / 1e6:.1f} MB, and looked through: it holds together."
        )
        self.stdout.write(
            "It holds names, the passwords' hashes and the secret key: keep it as safe as the entry list."
        )
