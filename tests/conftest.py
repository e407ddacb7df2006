"""What every test stands on: a scratch data folder, plain static files, and the choice of tests by database."""

import gc
import os
import shutil
import subprocess
import sys
import tempfile
import threading
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import hypothesis
import pytest
import time_machine
from django.conf import settings
from django.contrib.contenttypes.management import create_contenttypes
from django.core.cache import cache, caches
from django.db.models.signals import post_migrate
from django.test import Client
from django.utils import translation

from contest.disk import trouble
from contest.helpers.throttling import limiter
from contest.models import BroughtFile
from contest.records import tallying
from contest.slips import mixups
from contest.trail.noting import refused_codes, refused_sign_ins
from contest.trail.triggers import dropped
from contest.uploads import brought, working
from contest.watch import waiting
from contest.web import revisions
from scoring.announced import released
from scoring.board import board_cache
from scoring.results import readings
from tests.texts import pseudo
from tests.waiting import eventually


def pytest_addoption(parser):
    parser.addoption("--at", metavar="TIME", help="when every test begins, such as 23:59:50 or 2026-11-01T01:59:50")
    parser.addoption("--database-only", action="store_true", help="only tests that use the database, without a browser")
    parser.addoption(
        "--hostile", metavar="SEED[:INDEX]", help="another seed for hostile requests, or one request alone"
    )
    parser.addoption("--slow-browser", metavar="TIMES", type=float, help="pages compute so many times slower")
    parser.addoption("--late-answers", metavar="SECONDS", type=float, help="browsers wait so long for every answer")


def pytest_configure(config):
    # How long an example takes depends on the machine and says nothing of the law.
    hypothesis.settings.register_profile("untimed", deadline=None)
    hypothesis.settings.load_profile("untimed")
    # No test touches the data folder or the static files of the checkout.
    scratch = Path(tempfile.mkdtemp(prefix="tanbark-tests-"))
    config.add_cleanup(lambda: shutil.rmtree(scratch, ignore_errors=True))
    settings.DATA_FOLDER = scratch / "data"
    settings.STATIC_ROOT = scratch / "static"
    settings.STATIC_ROOT.mkdir()
    brought.AT_ONCE = 60  # however slow the machine is, a small file is read within its request
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # the real one is slow on purpose
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }


def pytest_sessionstart(session):
    # Whoever may do what is no matter of Django's permissions here, and writing all of them down again is most of the
    # work of emptying the database after a test with transactions.
    post_migrate.disconnect(create_contenttypes)
    post_migrate.disconnect(dispatch_uid="django.contrib.auth.management.create_permissions")


@pytest.fixture(scope="session")
def made_up_texts(tmp_path_factory):
    """The folder with the texts of the made-up languages, written once for all tests that speak them."""
    folder = tmp_path_factory.mktemp("texts")
    pseudo.write(folder)
    return folder


def pytest_collection_modifyitems(config, items):
    on_postgres = settings.DATABASES["default"]["ENGINE"].endswith("postgresql")
    left_out = [
        item
        for item in items
        if (config.option.database_only and not uses_database(item))
        or (item.get_closest_marker("postgresql") and not on_postgres)
        or ((item.get_closest_marker("sqlite") or item.get_closest_marker("any_database")) and on_postgres)
    ]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if item not in set(left_out)]


def pytest_collection_finish(session):
    gc.collect()
    gc.freeze()  # what is loaded stays: it need not be looked through again and again


def uses_database(item) -> bool:
    fixtures = set(getattr(item, "fixturenames", ()))
    if "browser" in fixtures:
        return False
    marked = any(item.get_closest_marker(marker) for marker in ("django_db", "postgresql"))
    return marked or bool({"db", "transactional_db"} & fixtures)


@pytest.fixture(autouse=True)
def the_time(request):
    """Lets every test begin at the time that `--at` names, and the clock go on from there; server processes that a test
    starts, and browsers, keep the real one. Without a date it is today, in the zone of the settings."""
    at = request.config.option.at
    if at is None:
        yield
        return
    moment = datetime.fromisoformat(at if "T" in at else f"{date.today()}T{at}")
    with time_machine.travel(moment.replace(tzinfo=ZoneInfo(settings.TIME_ZONE))):
        yield


@pytest.fixture
def clock_stands():
    """However slow the machine is, what is good for half a second is still good."""
    with time_machine.travel(datetime.now().astimezone(), tick=False):
        yield


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory):
    # A file, as at a contest: SQLite in memory knows neither WAL nor two connections.
    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        database["TEST"] = {**database.get("TEST", {}), "NAME": str(tmp_path_factory.mktemp("db") / "test.sqlite3")}


@pytest.fixture(scope="session", autouse=True)
def the_trail_can_be_emptied_between_tests():
    """Django empties every table after a test with transactions; what follows a `migrate` then guards them anew."""
    from django.db import connection

    operations = type(connection.ops)  # a test's threads have connections of their own
    emptying = operations.sql_flush

    def sql_flush(self, *args, **kwargs):
        return [*dropped(connection.vendor), *emptying(self, *args, **kwargs)]

    operations.sql_flush = sql_flush


@pytest.fixture(autouse=True, scope="session")
def every_change_says_which_rows_it_changed():
    """At the end of every change that any test makes, each row that it changed belongs to an entry of the trail."""
    from contest import changes

    unchecked, inside = changes.one_change, threading.local()

    @contextmanager
    def checked():
        if getattr(inside, "a_change", False):  # the outermost change writes the trail
            with unchecked():
                yield
            return
        inside.a_change = True
        try:
            with unchecked():
                before = unstamped_rows()
                yield
                assert unstamped_rows() <= before, "rows were changed after record_change was called, or without it"
        finally:
            inside.a_change = False

    changes.one_change = checked
    yield
    changes.one_change = unchecked


def unstamped_rows() -> int:
    """How many changed rows belong to no entry yet. Asked past Django, whose queries some tests count."""
    from django.db import connection

    connection.ensure_connection()
    sql = "SELECT count(*) FROM contest_rowchange WHERE contest_id IS NULL AND revision IS NULL"
    return connection.connection.execute(sql).fetchone()[0]


@pytest.fixture(scope="session")
def _made_data(tmp_path_factory):
    folder = tmp_path_factory.mktemp("made") / "data"
    subprocess.run(
        [sys.executable, "manage.py", "superintendent", "superintendent"],
        cwd=settings.BASE_DIR,
        env={name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        | {"TANBARK_DATA": str(folder)},
        input="hay-and-tanbark\n",
        encoding="utf-8",
        capture_output=True,
        check=True,
    )
    return folder


@pytest.fixture
def used_data(_made_data, tmp_path):
    """A data folder of this test's own with a database in it and no demo, which take a start some seconds to make."""
    folder = Path(shutil.copytree(_made_data, tmp_path / "data"))
    (folder / "demo-decided").touch()
    return folder


@pytest.fixture(autouse=True)
def nothing_remembered():
    translation.deactivate()  # a request leaves its language to whatever the thread does next
    cache.clear()
    caches["shared"].clear()
    limiter.storage.reset()
    refused_sign_ins.forget()
    refused_codes.forget()
    tallying.forget_all()
    revisions.forget_all()
    waiting.forget_all()
    mixups.forget_all()
    readings.forget_all()
    released.forget_all()
    board_cache.forget_all()
    trouble.forget()


@pytest.fixture(autouse=True)
def no_file_on_its_way(request, monkeypatch):
    """What a test brought is over before its rows are taken from whoever works on them. Where nothing is committed
    nobody does, and no request waits for it."""
    marker = request.node.get_closest_marker("django_db")
    if "transactional_db" in request.fixturenames:
        request.getfixturevalue("transactional_db")  # this ends before that
    elif not (marker and marker.kwargs.get("transaction")):
        monkeypatch.setattr(brought, "AT_ONCE", 0.0)
    yield
    if not working.line.is_idle:
        nothing_brought()


def nothing_brought():
    """Cancel whatever is on its way, and wait for the end of that."""
    for row in BroughtFile.every.filter(state__in=BroughtFile.OPEN):
        brought.cancel(row)
    eventually(lambda: working.line.is_idle)


@pytest.fixture
def in_a_bucket(settings):
    """Files are kept where no path leads to them, as in a bucket."""
    settings.STORAGES = {**settings.STORAGES, "kept": {"BACKEND": "tests.buckets.Bucket"}}


@pytest.fixture
def superintendent(db):
    """A client signed in as the superintendent."""
    from tests.accounts import signed_in

    return signed_in("superintendent")


@pytest.fixture
def as_helper(db):
    """Makes clients let in as helpers: `as_helper(contest, Duty.TABULATOR, "Ann")`; `client.helper` is the Helper."""

    from contest.access import SESSION_NAME
    from contest.helpers.joining import let_in

    def make(contest, duty, name="Ann", official=None, committee_official=None):
        client = Client()
        client.helper = let_in(contest, duty, name, official, committee_official=committee_official)
        session = client.session
        session[SESSION_NAME] = client.helper.pk
        session.save()
        return client

    return make
