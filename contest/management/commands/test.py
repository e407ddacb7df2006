"""`manage.py test [pytest's own arguments]`: every test on SQLite, then the database tests again on PostgreSQL."""

import os
import signal
import subprocess
import sys

from django.conf import settings
from django.core.management import BaseCommand

NOTHING_COLLECTED = 5


class Command(BaseCommand):
    help = "Run every test with pytest; arguments are pytest's own."

    def run_from_argv(self, argv):
        # Not Django's parser: -k, -x and paths belong to pytest.
        # A stop from outside unwinds like Ctrl-C, so that the PostgreSQL server never outlives the tests.
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
        sys.exit(run_tests(argv[2:]))


def run_tests(arguments: list[str]) -> int:
    from tests import postgres

    on_sqlite = run_pytest("every test, on SQLite", arguments)
    with postgres.private_server() as url:
        on_postgres = run_pytest("the database tests again, on PostgreSQL", ["--database-only", *arguments], url)
    if arguments and NOTHING_COLLECTED in (on_sqlite, on_postgres):  # what was asked for may belong to one of the two
        return on_sqlite if on_postgres == NOTHING_COLLECTED else on_postgres
    return on_sqlite or on_postgres


def run_pytest(what: str, arguments: list[str], database_url: str = "") -> int:
    print(f"\nTests: {what}", flush=True)
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    if database_url:
        environment["DATABASE_URL"] = database_url
    return subprocess.run(
        [sys.executable, "-m", "pytest", *arguments], cwd=settings.BASE_DIR, env=environment
    ).returncode
