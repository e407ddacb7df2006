"""`manage.py test [pytest's own arguments]`: every test on SQLite, then the database tests again on PostgreSQL.

Without arguments the browser's tests and those on PostgreSQL run beside the others, which takes about half the time on
two cores.
"""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import NamedTuple

from django.conf import settings
from django.core.management import BaseCommand

NOTHING_COLLECTED = 5
BROWSER = "tests/browser"


class Command(BaseCommand):
    help = "Run every test with pytest; arguments are pytest's own."

    def run_from_argv(self, argv: list[str]) -> None:
        # Not Django's parser: -k, -x and paths belong to pytest.
        # A stop from outside unwinds like Ctrl-C, so that the PostgreSQL server never outlives the tests.
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
        sys.exit(run_tests(argv[2:]))


def run_tests(arguments: list[str]) -> int:
    return run_one_after_another(arguments) if arguments else run_beside_each_other()


def run_beside_each_other() -> int:
    """Most tests on SQLite; beside them the browser's, and then the database tests on PostgreSQL."""
    from tests import postgres

    others = [f"--ignore={BROWSER}"]
    with postgres.private_server() as url, watched("on SQLite", others) as on_sqlite:
        in_browser = run_unheard("the browser's tests, on SQLite", [BROWSER])
        on_postgres = run_unheard("the database tests again, on PostgreSQL", ["--database-only", *others], url)
    for name, said, _ in (in_browser, on_postgres):
        print(f"\nTests: {name}\n{said}", flush=True)
    return on_sqlite.returncode or in_browser.code or on_postgres.code


def run_one_after_another(arguments: list[str]) -> int:
    from tests import postgres

    on_sqlite = run_pytest("on SQLite", arguments)
    with postgres.private_server() as url:
        on_postgres = run_pytest("the database tests again, on PostgreSQL", ["--database-only", *arguments], url)
    if NOTHING_COLLECTED in (on_sqlite, on_postgres):  # what was asked for may belong to one of the two
        return on_sqlite if on_postgres == NOTHING_COLLECTED else on_postgres
    return on_sqlite or on_postgres


def run_pytest(name: str, arguments: list[str], database_url: str = "") -> int:
    print(f"\nTests: {name}", flush=True)
    return subprocess.run(pytest_of(arguments), cwd=settings.BASE_DIR, env=environment(database_url)).returncode


class Run(NamedTuple):
    what: str
    said: str
    code: int


def run_unheard(name: str, arguments: list[str], database_url: str = "") -> Run:
    """Run pytest while something else is heard of; what it says is given back in one piece."""
    done = subprocess.run(
        pytest_of(arguments),
        cwd=settings.BASE_DIR,
        env=environment(database_url),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    )
    return Run(name, done.stdout, done.returncode)


@contextmanager
def watched(name: str, arguments: list[str]) -> Iterator[subprocess.Popen[bytes]]:
    """Run pytest, heard as it goes, beside what is done meanwhile; it has ended afterwards."""
    print(f"\nTests: {name}", flush=True)
    child = subprocess.Popen(pytest_of(arguments), cwd=settings.BASE_DIR, env=environment())
    try:
        yield child
        child.wait()
    finally:
        if child.poll() is None:  # the other side was stopped
            child.terminate()
            child.wait()


def pytest_of(arguments: list[str]) -> list[str]:
    return [sys.executable, "-m", "pytest", *arguments]


def environment(database_url: str = "") -> dict[str, str]:
    named = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return {**named, "DATABASE_URL": database_url} if database_url else named
