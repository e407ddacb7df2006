"""Papers that are ordered at one of several processes, made by any, and fetched from any."""

import re
from contextlib import contextmanager
from uuid import uuid4

import psycopg
import pytest

from tests.contest.processes.servers import PATIENCE, command
from tests.waiting import eventually

pytestmark = pytest.mark.postgresql


def order(browser, server, contest, **choice):
    """Order placing cards; their job's number."""
    page = f"contests/{contest}/prints/"
    status, shown = browser.send(
        server,
        page,
        submission=str(uuid4()),
        paper="a4",
        copies="1",
        documents="placing-cards",
        **{"order-placing-cards": "class"},
        **choice,
    )
    assert status == 200
    return max(int(number) for number in re.findall(rf"{page}files/(\d+)/", shown))


def row(database, job):
    with psycopg.connect(database) as asked:
        return asked.execute("SELECT state, attempt, problem FROM scoring_printjob WHERE id = %s", [job]).fetchone()


@contextmanager
def working(database, folder):
    """A `work`, once it is there for the jobs."""
    process = command("work", url=database, folder=folder)
    try:
        eventually(lambda: process.poll() is not None or "Works on what is ordered" in said(folder))
        assert process.poll() is None, said(folder)
        yield process
    finally:
        process.terminate()
        process.wait(PATIENCE)


def said(folder):
    return folder.with_suffix(".said").read_text()


def test_what_is_ordered_at_one_is_fetched_from_both(servers, sue, made, database):
    a, b = servers
    contest = made["contest"]
    job = order(sue, a, contest, numbers=made["cards"][0][1])
    eventually(lambda: row(database, job)[0] not in ("waiting", "running"))
    assert row(database, job) == ("done", 1, "")
    papers = [sue.get(server, f"contests/{contest}/prints/files/{job}/") for server in (a, b)]
    assert papers[0] == papers[1]
    assert papers[0][1].startswith("%PDF-")
    here = [(server.folder / "prints" / f"{job}.pdf").exists() for server in servers]
    assert here == [True, True]


def test_a_worker_prints_instead_of_those_that_serve_hears_of_what_is_cancelled_and_is_followed_when_killed(
    servers, sue, made, database, tmp_path
):
    a, b = servers
    contest = made["contest"]
    with working(database, tmp_path / "w") as worker:
        job = order(sue, a, contest)
        eventually(lambda: row(database, job)[0] == "running")
        sue.send(b, f"contests/{contest}/prints/", to=f"contests/{contest}/prints/files/{job}/cancel/")
        assert row(database, job)[0] == "cancelled"
        other = order(sue, a, contest, numbers=made["cards"][0][1])
        eventually(lambda: row(database, other)[0] == "done")
        assert (tmp_path / "w" / "prints" / f"{other}.pdf").exists()
        assert not (tmp_path / "w" / "prints" / f"{job}.pdf").exists()

        job = order(sue, b, contest)
        eventually(lambda: row(database, job)[0] == "running")
        for _ in range(3):  # whoever looks fails nothing that runs elsewhere
            sue.get(b, f"contests/{contest}/prints/jobs/")
        assert row(database, job) == ("running", 1, "")
        assert not (b.folder / "prints" / f"{job}.pdf").exists()
        worker.kill()
        worker.wait()
    eventually(lambda: row(database, job)[0] not in ("waiting", "running"))
    assert row(database, job) == ("done", 2, "")
    assert sue.get(b, f"contests/{contest}/prints/files/{job}/")[1].startswith("%PDF-")
