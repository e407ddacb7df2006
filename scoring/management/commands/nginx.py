"""`manage.py nginx`: how a web server hands out the copy of the results."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _

from contest.web.middleware import CONTENT_POLICY
from scoring.results import web_copy


class Command(BaseCommand):
    help = _("Print a configuration for nginx that hands out released results by itself and asks Tanbark for all else.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--listen", default="80", help=_("the port, or address and port, that nginx is to listen at (default: 80)")
        )
        parser.add_argument(
            "--tanbark",
            default="http://127.0.0.1:8000",
            metavar="ADDRESS",
            help=_("where `up` serves (default: http://127.0.0.1:8000)"),
        )

    def handle(self, *, listen: str, tanbark: str, **options: Any) -> None:
        if settings.WEB_COPY_FOLDER is None:
            raise CommandError(
                _("name the folder for released results first: TANBARK_WEB_COPY=DIR, for this command and for `up`")
            )
        text = (Path(web_copy.__file__).parent / "nginx.conf").read_text(encoding="utf-8")
        for name, value in {
            "LISTEN": listen,
            "COPY": settings.WEB_COPY_FOLDER,
            "STATIC": settings.STATIC_ROOT,
            "POLICY": CONTENT_POLICY,
            "TANBARK": tanbark.rstrip("/"),
        }.items():
            text = text.replace(f"@{name}@", str(value))
        self.stdout.write(text, ending="")
