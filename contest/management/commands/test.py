"""`manage.py test [pytest's own arguments]`: every test on SQLite, then the database tests again on PostgreSQL.

Without arguments the browser's tests run beside the others, which takes about half the time on two cores.
"""

import os
import signal
import subprocess
import sys
import tempfile
from contextlib import contextmanager

from django.conf import settings
from django.core.management import BaseCommand

NOTHING_COLLECTED = 5
BROWSER = "tests/browser"


class Command(BaseCommand):
    help = "Run every test with pytest; arguments are pytest's own."

    def run_from_argv(self, argv):
        # Not Django's parser: -k, -x and paths belong to pytest.
        # A stop from outside unwinds like Ctrl-C, so that the PostgreSQL server never outlives the tests.
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
        sys.exit(run_tests(argv[2:]))


def run_tests(arguments: list[str]) -> int:
    if arguments:
        return run_one_after_another(arguments)
    with running_beside("the browser's tests, on SQLite", [BROWSER]) as beside:
        others = run_one_after_another([f"--ignore={BROWSER}"])
    return beside.returncode or others


def run_one_after_another(arguments: list[str]) -> int:
    from tests import postgres

    on_sqlite = run_pytest("on SQLite", arguments)
    with postgres.private_server() as url:
        on_postgres = run_pytest("the database tests again, on PostgreSQL", ["--database-only", *arguments], url)
    if NOTHING_COLLECTED in (on_sqlite, on_postgres):  # what was asked for may belong to one of the two
        return on_sqlite if on_postgres == NOTHING_COLLECTED else on_postgres
    return on_sqlite or on_postgres


def run_pytest(what: str, arguments: list[str], database_url: str = "") -> int:
    print(f"\nTests: {what}", flush=True)
    return subprocess.run(pytest_of(arguments), cwd=settings.BASE_DIR, env=environment(database_url)).returncode


@contextmanager
def running_beside(what: str, arguments: list[str]):
    """Run pytest while something else is done; what it says comes afterwards, in one piece."""
    with tempfile.TemporaryFile() as said:
        child = subprocess.Popen(
            pytest_of(arguments), cwd=settings.BASE_DIR, env=environment(), stdout=said, stderr=subprocess.STDOUT
        )
        try:
            yield child
            child.wait()
        finally:
            if child.poll() is None:  # the other side was stopped
                child.terminate()
                child.wait()
            said.seek(0)
            print(f"\nTests: {what}\n{said.read().decode(errors='replace')}", flush=True)


def pytest_of(arguments: list[str]) -> list[str]:
    return [sys.executable, "-m", "pytest", *arguments]


def environment(database_url: str = "") -> dict[str, str]:
    named = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return {**named, "DATABASE_URL": database_url} if database_url else named
