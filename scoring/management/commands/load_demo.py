"""`manage.py load_demo`: make the two invented contests, one that is over and one that is being judged now."""

from typing import Any

from django.core.management import BaseCommand
from django.utils.translation import gettext as _

from contest.management.messages import contest_label
from scoring.demo.day import day
from scoring.demo.finished import finished


class Command(BaseCommand):
    help = _("Make the invented contests: one that is over, and one in the middle of its day, which is today.")

    def handle(self, *, verbosity: int, **options: Any) -> None:
        for contest in (finished(), day()):
            if verbosity:
                self.stdout.write(contest_label(contest))
