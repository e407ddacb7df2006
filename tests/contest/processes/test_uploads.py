"""Files that come to one of several processes: read by a worker, looked at and cancelled at another, never doubled."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from uuid import uuid4

import psycopg
import pytest

from tests.bench.bench_uploads import a_book, packed
from tests.contest.processes.servers import FILES
from tests.contest.processes.test_prints import working
from tests.waiting import eventually

pytestmark = pytest.mark.postgresql

CONTESTS = "SELECT count(*), count(loading_at) FROM contest_contest WHERE name = %s"


@pytest.fixture(scope="module")
def book():
    """One that takes some seconds to be read, and some to be saved; and what its contest is called."""
    record = a_book(400)
    return packed(record), record.rules.name


def bring(browser, server, data, key):
    fields = {"way": "book", "submission": str(key)}
    status, _page = browser.bring(server, "contests/new/", "fair.zip", data, "book-book", **fields)
    assert status == 200


def asked(database, question, *values):
    with psycopg.connect(database) as found:
        return found.execute(question, values).fetchone()


def row(database, key):
    """State, attempt, rows that are saved, and of how many."""
    found = asked(database, "SELECT state, attempt, done, of FROM contest_broughtfile WHERE key = %s", key)
    return found or ("on its way to us", 0, 0, 0)


def files_of(key):
    return [path.name for path in Path(FILES, "uploads").glob(f"{key}*")]


def test_what_comes_to_one_is_looked_at_and_cancelled_at_the_other(servers, sue, book, database, tmp_path):
    a, b = servers
    before = asked(database, CONTESTS, book[1])
    with working(database, tmp_path / "w"):
        bring(sue, a, book[0], key := uuid4())
        for server in (b, a):  # both know how far it is
            eventually(lambda server=server: "saving row" in sue.get(server, f"uploads/{key}/")[1])
        status, page = sue.send(b, f"uploads/{key}/", to=f"uploads/{key}/cancel/")
        assert (status, "cancelled: nothing was saved" in page) == (200, True)
        assert "cancelled: nothing was saved" in sue.get(a, f"uploads/{key}/")[1]
        eventually(lambda: asked(database, CONTESTS, book[1]) == before)
        eventually(lambda: not files_of(key))
    assert row(database, key)[:2] == ("cancelled", 1)


@pytest.mark.parametrize("saves", [False, True], ids=["reads", "saves"])
def test_it_is_saved_once_although_its_worker_is_killed(servers, sue, book, database, tmp_path, saves):
    _a, b = servers
    before = asked(database, CONTESTS, book[1])[0]
    key = uuid4()
    with working(database, tmp_path / "w") as worker, ThreadPoolExecutor() as meanwhile:
        brought = meanwhile.submit(bring, sue, b, book[0], key)
        eventually(lambda: row(database, key)[0] == "reading" and (row(database, key)[3] > 0) == saves)
        worker.kill()
        worker.wait()
    brought.result()
    eventually(lambda: row(database, key)[0] not in ("waiting", "reading"))
    assert row(database, key)[:2] == ("done", 2)
    for server in servers:
        assert book[1] in sue.get(server, f"uploads/{key}/")[1]
    shown = "SELECT count(*) FROM contest_contest WHERE name = %s AND loading_at IS NULL"
    assert asked(database, shown, book[1]) == (before + 1,)
    eventually(lambda: not files_of(key))


def test_the_same_form_sent_to_both_at_once_is_one_contest(servers, sue, book, database):
    before = asked(database, CONTESTS, book[1])[0]
    key = uuid4()
    with ThreadPoolExecutor() as at_once:
        for sent in [at_once.submit(bring, sue, server, book[0], key) for server in servers]:
            sent.result()
    eventually(lambda: row(database, key)[0] == "done")
    assert (row(database, key)[1], asked(database, CONTESTS, book[1])[0]) == (1, before + 1)


def test_a_list_that_came_to_one_is_confirmed_at_the_other(servers, sue, made, database):
    a, b = servers
    there = f"contests/{made['contest']}/entries/load/"
    status, _page = sue.bring(a, there, "e.csv", b"number,first name,last name\n7771,Ann,Bell\n")
    assert status == 200
    (key,) = asked(database, "SELECT key FROM contest_broughtfile WHERE purpose = 'entries' ORDER BY id DESC LIMIT 1")
    eventually(lambda: row(database, key)[0] == "done")
    for server in (b, a):
        assert "7771" in sue.get(server, f"{there}{key}/")[1]
