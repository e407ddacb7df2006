"""`manage.py organisation NAME`: one more organisation on this machine, and a link for its first owner."""

from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.urls import reverse
from django.utils.translation import gettext as _

from contest.changes.exceptions import NotPossible
from contest.helpers.invitations import make_organisation
from contest.helpers.joining import tidy
from contest.serving.addresses import by_the_proxy
from contest.trail.names import TERMINAL


class Command(BaseCommand):
    help = _(
        "Make one more organization on this machine: its people see nothing of the others’ contests, nor the others of "
        "theirs. Prints the address at which its first owner makes an account, once and within 7 days."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help=_("what it is called"))
        parser.add_argument(
            "--first", default="", help=_("what the one that is there already is called; asked for once")
        )

    def handle(self, *, name: str, first: str, **options: Any) -> None:
        try:
            secret = make_organisation(tidy(name), tidy(first), TERMINAL)
        except NotPossible as problem:
            raise CommandError(str(problem)) from None
        address = (by_the_proxy() or "http://localhost:8000/").rstrip("/") + reverse("invited", args=[secret])
        told = _("Its first owner makes an account at {address}, once; where Tanbark is at another address, there.")
        self.stdout.write(told.format(address=address))
