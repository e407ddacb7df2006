"""Two processes that serve one database, for all tests of this folder, and a contest in it."""

import json
import subprocess
import sys

import pytest
from django.conf import settings

from tests.contest.processes.servers import HELPERS, PASSWORD, Browser, environment, new_database, serving
from tests.faults.hall import MAKING


@pytest.fixture(scope="session")
def database():
    with new_database("tanbark_several") as url:
        yield url


@pytest.fixture(scope="session")
def servers(database, tmp_path_factory):
    """Two that were begun at once on an empty database."""
    folder = tmp_path_factory.mktemp("several")
    with serving(database, folder / "a", folder / "b") as both:
        yield both


@pytest.fixture(scope="session")
def made(servers, database, tmp_path_factory):
    """A contest that is read, with the cookies of its helpers."""
    folder = tmp_path_factory.mktemp("making")
    setting = f"from contest.helpers.superintendents import set_password\nset_password('sue', {PASSWORD!r}, 'tests')\n"
    done = subprocess.run(
        [sys.executable, "-c", MAKING + setting, "60", *HELPERS],
        cwd=settings.BASE_DIR,
        env=environment(database, folder),
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.fixture
def sue(servers, made):
    browser = Browser()
    status, page = browser.send(servers[0], "sign-in/", name="sue", password=PASSWORD)
    assert (status, "<h1>Contests</h1>" in page) == (200, True)
    return browser
