"""`manage.py nginx`: how a web server hands out the copy of the results, and shares all else among processes."""

from argparse import ArgumentTypeError
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext as _

from contest.web.middleware import CONTENT_POLICY
from scoring.results import web_copy

SCHEME = "http://"
STATIC = """\
    location /static/ {{
        alias {folder}/;
        gzip_static on;
        add_header Cache-Control "public, max-age=31536000, immutable";
        add_header X-Content-Type-Options nosniff;
    }}

"""
CERTIFICATE = """
    ssl_certificate {certificate};
    ssl_certificate_key {key};
    ssl_protocols TLSv1.2 TLSv1.3;"""
PLAIN = """
server {{
    listen {listen};
    return 301 https://$host$request_uri;
}}
"""


class Command(BaseCommand):
    help = _("Print a configuration for nginx that hands out released results by itself and asks Tanbark for all else.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--listen", default="80", help=_("the port, or address and port, that nginx is to listen at (default: 80)")
        )
        parser.add_argument(
            "--tanbark",
            type=host_and_port,
            action="append",
            metavar="ADDRESS",
            help=_("where Tanbark serves; once for each process (default: http://127.0.0.1:8000)"),
        )
        parser.add_argument(
            "--certificate",
            nargs=2,
            metavar=("FILE", "KEY"),
            help=_("serve by https, at port 443, with these; what comes to --listen is sent there"),
        )
        parser.add_argument(
            "--https", default="443", help=_("the port, or address and port, of https (default: 443)"), metavar="LISTEN"
        )
        parser.add_argument(
            "--elsewhere",
            action="store_true",
            help=_("nginx runs where the static files of Tanbark do not lie, and asks Tanbark for them"),
        )

    def handle(
        self,
        *,
        listen: str,
        tanbark: list[str] | None,
        certificate: list[str] | None,
        https: str,
        elsewhere: bool,
        **options: Any,
    ) -> None:
        if settings.WEB_COPY_FOLDER is None:
            raise CommandError(
                _("name the folder for released results first: TANBARK_WEB_COPY=DIR, for this command and for `up`")
            )
        secured = certificate and CERTIFICATE.format(certificate=certificate[0], key=certificate[1])
        text = (Path(web_copy.__file__).parent / "nginx.conf").read_text(encoding="utf-8")
        for name, value in {
            "LISTEN": f"{https} ssl" if secured else listen,
            "CERTIFICATE": secured or "",
            "PLAIN": PLAIN.format(listen=listen) if secured else "",
            "SERVERS": "\n".join(f"    server {address};" for address in tanbark or ["127.0.0.1:8000"]),
            "COPY": settings.WEB_COPY_FOLDER,
            "STATIC": "" if elsewhere else STATIC.format(folder=settings.STATIC_ROOT),
            "POLICY": CONTENT_POLICY,
        }.items():
            text = text.replace(f"@{name}@", str(value))
        self.stdout.write(text, ending="")


def host_and_port(address: str) -> str:
    host = address.removeprefix(SCHEME).rstrip("/")
    if not host or "/" in host:
        raise ArgumentTypeError(_("must be an address such as http://127.0.0.1:8000"))
    return host
