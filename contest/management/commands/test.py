"""`manage.py test [pytest's own arguments]`: every test on SQLite, then the database tests again on PostgreSQL.

Without arguments the tests are run in pieces, several at a time.
"""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import contextmanager, nullcontext
from tempfile import TemporaryDirectory
from typing import NamedTuple

from django.conf import settings
from django.core.management import BaseCommand

NOTHING_COLLECTED = 5
AT_ONCE = 3  # on two cores, since the browser's tests wait for a third of their time
BROWSER, CONTEST, PRINTS = "tests/browser", "tests/contest", "tests/scoring/prints"
DESK, A_TO_H, I_TO_Z = f"{BROWSER}/desk", "*/test_[a-h]*", "*/test_[!a-h]*"


class Piece(NamedTuple):
    name: str
    arguments: list[str]
    on_postgres: bool = False


def without(*paths: str) -> list[str]:
    """All but these files and folders, which may be patterns."""
    return [f"--ignore-glob={path}" for path in paths]


PIECES = [  # what takes longest comes first, and what the browser waits in beside what computes
    Piece("the printed papers', on SQLite", [PRINTS]),
    Piece("the browser's tests of pages from I to Z, on SQLite", [BROWSER, *without(DESK, A_TO_H)]),
    Piece("the contest's, on SQLite", [CONTEST]),
    Piece("the contest's database tests again, on PostgreSQL", [CONTEST], on_postgres=True),
    Piece("the browser's of pages from A to H, on SQLite", [BROWSER, *without(DESK, I_TO_Z)]),
    Piece("the browser's of the desk, on SQLite", [DESK]),
    Piece("the other database tests again, on PostgreSQL", without(BROWSER, CONTEST), on_postgres=True),
    Piece("all others, on SQLite", without(BROWSER, CONTEST, "tests/scoring")),
    Piece("the scoring's others, on SQLite", ["tests/scoring", *without(PRINTS)]),
]


class Command(BaseCommand):
    help = "Run every test with pytest; arguments are pytest's own."

    def run_from_argv(self, argv: list[str]) -> None:
        # Not Django's parser: -k, -x and paths belong to pytest.
        # A stop from outside unwinds like Ctrl-C, so that the PostgreSQL server never outlives the tests.
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))
        sys.exit(run_tests(argv[2:]))


def run_tests(arguments: list[str]) -> int:
    with compiled_once():
        return run_one_after_another(arguments) if arguments else run_in_pieces()


@contextmanager
def compiled_once() -> Iterator[None]:
    """Where Python is told to leave nothing compiled beside the code, the many processes of a run share a folder for it
    elsewhere: otherwise each would compile all that it loads."""
    if not sys.dont_write_bytecode:
        yield
        return
    with TemporaryDirectory(prefix="tanbark-compiled-", ignore_cleanup_errors=True) as folder:
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = folder
        yield


def run_in_pieces() -> int:
    """Each piece is told of when it has ended; a stop ends those that run."""
    running: set[subprocess.Popen[str]] = set()
    failed = 0
    with ThreadPoolExecutor(AT_ONCE) as pool:
        try:
            for done in as_completed([pool.submit(run_unheard, piece, running) for piece in PIECES]):
                piece, said, code = done.result()
                print(f"\nTests: {piece.name}\n{said}", flush=True)
                failed = failed or code
        finally:
            pool.shutdown(wait=False, cancel_futures=True)
            for child in list(running):
                child.terminate()
    return failed


def run_unheard(piece: Piece, running: set[subprocess.Popen[str]]) -> tuple[Piece, str, int]:
    """Run pytest while something else is heard of: what it says, in one piece, and its exit code."""
    from tests import postgres

    print(f"Tests: {piece.name}: begun", flush=True)
    with (
        postgres.private_server() if piece.on_postgres else nullcontext("") as url,
        subprocess.Popen(
            pytest_of(["--database-only", *piece.arguments] if url else piece.arguments),
            cwd=settings.BASE_DIR,
            env=environment(url),
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
        ) as child,
    ):
        running.add(child)
        said, _ = child.communicate()
        running.discard(child)
    return piece, said, child.returncode


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


def pytest_of(arguments: list[str]) -> list[str]:
    return [sys.executable, "-m", "pytest", *arguments]


def environment(database_url: str = "") -> dict[str, str]:
    named = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return {**named, "DATABASE_URL": database_url} if database_url else named
