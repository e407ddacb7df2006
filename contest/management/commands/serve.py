"""`manage.py serve`: one of several processes, on this machine or others, that serve one PostgreSQL database."""

from __future__ import annotations

import os
from argparse import ArgumentTypeError
from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser
from django.utils.translation import gettext as _

from contest.management.commands import up

MOST_WORKERS = 64

NO_SECRET = _(
    "Every process that serves this database needs the same secret key. Set TANBARK_SECRET_KEY to one text of at least "
    "50 characters for all of them, such as what this prints: "
    'python3 -c "import secrets; print(secrets.token_urlsafe(50))"'
)


class Command(up.Command):
    help = _("Serve a PostgreSQL database beside other processes that do, behind a proxy of yours.")
    name = "serve"

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=up.port_number, default=8000)
        parser.add_argument("--host", default="127.0.0.1", help=_("the address to listen on (default: 127.0.0.1)"))
        parser.add_argument("--data", metavar="DIR", help=_("a folder of this process's own (or TANBARK_DATA)"))
        parser.add_argument(
            "--drain",
            type=float,
            default=5.0,
            help=_("seconds that it serves on after it was told to stop (default: 5)"),
        )

        parser.add_argument(
            "--workers",
            type=number_of_workers,
            default=1,
            metavar="N",
            help=_("processes that serve this address, as many as the machine has cores (default: 1)"),
        )

    def handle(self, *, port: int, host: str, no_demo: bool = True, **options: Any) -> None:
        if "TANBARK_SECRET_KEY" not in os.environ and not (settings.DATA_FOLDER / "secret-key").exists():
            raise CommandError(NO_SECRET)
        self.drain, self.workers = options.get("drain", 5.0), options.get("workers", 1)
        super().handle(port=port, host=host, no_demo=no_demo, **options)


def number_of_workers(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= MOST_WORKERS:
        raise ArgumentTypeError(_("must be a whole number from 1 to {most}").format(most=MOST_WORKERS))
    return int(text)
