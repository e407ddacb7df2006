"""`manage.py superintendent NAME`: make a superintendent, or set a new password."""

import sys
from getpass import getpass
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _

from contest import data_folder
from contest.changes.exceptions import NotPossible
from contest.helpers.joining import tidy
from contest.helpers.one_time_codes import take_off
from contest.helpers.superintendents import set_password
from contest.models.helpers import NAME_LENGTH
from contest.serving.borne import migrate_if_behind
from contest.trail.names import TERMINAL


class Command(BaseCommand):
    help = _(
        "Make a superintendent, or set a new password for one: asked for twice, or read as one line from standard "
        "input. Devices that signed in with the old password are signed out."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help=_("whom to sign in as, and what the trail says"))

        parser.add_argument(
            "--without-codes",
            action="store_true",
            help=_("ask for no one-time code any more, where its app is lost; the password stays as it is"),
        )

    def handle(self, *, name: str, without_codes: bool, **options: Any) -> None:
        name = tidy(name)
        if without_codes:
            ask_for_password_alone(name)
            self.stdout.write(_("{name} signs in with the password alone now").format(name=name))
            return
        if not 0 < len(name) <= NAME_LENGTH:
            raise CommandError(_("a name has 1 to {most} characters").format(most=NAME_LENGTH))
        password = asked_password() if sys.stdin.isatty() else sys.stdin.readline().rstrip("\r\n")
        data_folder.prepare(settings.DATA_FOLDER)
        migrate_if_behind()
        try:
            is_new = set_password(name, password, TERMINAL)
        except ValidationError as problem:
            raise CommandError(_("nothing was changed: {why}").format(why=" ".join(problem.messages))) from None
        self.stdout.write((_("{name} can sign in now") if is_new else _("{name} has a new password")).format(name=name))


def ask_for_password_alone(name: str) -> None:
    account = User.objects.filter(username__iexact=name).first()
    if account is None:
        raise CommandError(_("nobody signs in as {name}").format(name=name))
    try:
        take_off(account, TERMINAL)
    except NotPossible as problem:
        raise CommandError(str(problem)) from None


def asked_password() -> str:
    first = getpass(_("New password: "))
    if first != getpass("The same again: "):
        raise CommandError(_("nothing was changed: the two passwords differ"))
    return first
