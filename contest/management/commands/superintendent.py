"""`manage.py superintendent NAME`: make a superintendent, or set a new password."""

import sys
from getpass import getpass
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError, CommandParser, call_command
from django.utils.translation import gettext as _

from contest import data_folder
from contest.helpers.joining import tidy
from contest.helpers.superintendents import set_password
from contest.models.helpers import NAME_LENGTH
from contest.trail.names import TERMINAL


class Command(BaseCommand):
    help = _(
        "Make a superintendent, or set a new password for one: asked for twice, or read as one line from standard "
        "input. Devices that signed in with the old password are signed out."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help=_("whom to sign in as, and what the trail says"))

    def handle(self, *, name: str, **options: Any) -> None:
        name = tidy(name)
        if not 0 < len(name) <= NAME_LENGTH:
            raise CommandError(_("a name has 1 to {most} characters").format(most=NAME_LENGTH))
        password = asked_password() if sys.stdin.isatty() else sys.stdin.readline().rstrip("\r\n")
        data_folder.prepare(settings.DATA_FOLDER)
        call_command("migrate", interactive=False, verbosity=0)
        try:
            is_new = set_password(name, password, TERMINAL)
        except ValidationError as problem:
            raise CommandError(_("nothing was changed: {why}").format(why=" ".join(problem.messages))) from None
        self.stdout.write((_("{name} can sign in now") if is_new else _("{name} has a new password")).format(name=name))


def asked_password() -> str:
    first = getpass(_("New password: "))
    if first != getpass("The same again: "):
        raise CommandError(_("nothing was changed: the two passwords differ"))
    return first
