"""`manage.py superintendent NAME`: make a superintendent, or set a new password."""

import sys
from getpass import getpass
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError, CommandParser, call_command

from contest import data_folder
from contest.helpers.joining import tidy
from contest.helpers.superintendents import set_password
from contest.models.helpers import NAME_LENGTH
from contest.trail.names import TERMINAL


class Command(BaseCommand):
    help = (
        "Make a superintendent, or set a new password for one: asked for twice, or read as one line from standard "
        "input. Devices that signed in with the old password are signed out."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="whom to sign in as, and what the trail says")

    def handle(self, *, name: str, **options: Any) -> None:
        name = tidy(name)
        if not 0 < len(name) <= NAME_LENGTH:
            raise CommandError(f"a name has 1 to {NAME_LENGTH} characters")
        password = asked_password() if sys.stdin.isatty() else sys.stdin.readline().rstrip("\r\n")
        data_folder.prepare(settings.DATA_FOLDER)
        call_command("migrate", interactive=False, verbosity=0)
        try:
            is_new = set_password(name, password, TERMINAL)
        except ValidationError as problem:
            raise CommandError("nothing was changed: " + " ".join(problem.messages)) from None
        self.stdout.write(f"{name} can sign in now" if is_new else f"{name} has a new password")


def asked_password() -> str:
    first = getpass("New password: ")
    if first != getpass("The same again: "):
        raise CommandError("nothing was changed: the two passwords differ")
    return first
