"""Two processes on one database: what one is told, the other knows; what cannot be is refused."""

import os
import random
import signal
from concurrent.futures import ThreadPoolExecutor

import psycopg
import pytest

from tests.contest.processes.servers import HELPERS, PATIENCE, Browser, refused, serving
from tests.contest.processes.versions import a_newer_version
from tests.faults.hall import Hall
from tests.processes import serving_processes_of

pytestmark = pytest.mark.postgresql


def test_whoever_signs_in_at_one_is_in_at_the_other_and_out_at_both_at_once(servers, sue):
    a, b = servers
    assert "<h1>Contests</h1>" in sue.get(b, "")[1]
    sue.send(a, "", to="sign-out/")
    assert "<h1>Contests</h1>" not in sue.get(b, "")[1]


def test_wrong_attempts_are_counted_together(servers):
    browser = Browser()
    answers = [browser.send(servers[i % 2], "join/", name="Eve", code="AAAA-AAAAA")[0] for i in range(21)]
    assert answers == [422] * 20 + [429]


def test_a_copy_is_refused_in_words(servers, sue):
    status, page = sue.send(servers[1], "copies/", to="copies/now/")
    assert status == 409
    assert "make them where PostgreSQL runs" in page


def test_beside_one_of_several_nothing_else_serves(servers, database, tmp_path):
    with ThreadPoolExecutor() as at_once:
        alone = at_once.submit(refused, "up", "--no-demo", url=database, folder=tmp_path / "alone")
        another = "another secret, which nobody else has"
        other = at_once.submit(refused, "serve", url=database, folder=tmp_path / "secret", secret=another)
        files = at_once.submit(
            refused, "serve", url=database, folder=tmp_path / "files", files=str(tmp_path / "elsewhere")
        )
        none = at_once.submit(refused, "serve", url=database, folder=tmp_path / "none", secret="")
        sqlite = at_once.submit(refused, "serve", url="", folder=tmp_path / "sqlite")
    assert "`manage.py up` serves alone. Stop that first" in alone.result()
    assert "tanbark serve --port" in alone.result()
    assert "with another secret key" in other.result()
    assert "keeps files elsewhere" in files.result()
    assert "needs the same secret key" in none.result()
    assert "set DATABASE_URL" in sqlite.result()


def test_two_serve_one_address_and_serve_on_for_a_while_when_told_to_stop(servers, database, tmp_path):
    with serving(database, tmp_path / "c", options=["--workers", "2", "--drain", "3"]) as (c,):
        first, second = c.wait_until(lambda: len(both := serving_processes_of(c.process.pid)) == 2 and both)
        os.kill(first, signal.SIGKILL)
        assert {c.status("healthz") for _ in range(20)} == {200}
        c.wait_until(lambda: len(both := serving_processes_of(c.process.pid)) == 2 and first not in both)
        assert second in serving_processes_of(c.process.pid)
        c.wait_until(lambda: c.status("readyz") == 200)
        c.process.send_signal(signal.SIGTERM)
        c.wait_until(lambda: c.status("readyz") == 503)
        assert c.status("healthz") == 200
        assert c.process.wait(60) == 0
        assert c.status("healthz") is None
    assert servers[0].status("readyz") == 200


def readings(database):
    """All that are in it, by submission: class, number, placing, who."""
    with psycopg.connect(database) as found:
        rows = found.execute(
            'SELECT submission::text, contest_judgingclass.number, contest_reading.number, "placing", by '
            "FROM contest_reading JOIN contest_judgingclass ON contest_judgingclass.id = judging_class_id"
        ).fetchall()
    return {row[0]: row[1:] for row in rows}


def test_a_reading_is_neither_lost_nor_doubled_when_one_process_is_killed(servers, made, database, tmp_path):
    b, before = servers[1], readings(database)
    cards = [tuple(card) for card in made["cards"][::2]]
    random.Random(1).shuffle(cards)
    with serving(database, tmp_path / "d") as (d,):
        halls = []
        for server, names in ((d, HELPERS[:2]), (b, HELPERS[2:])):
            cookies = {name: made["cookies"][name] for name in names}
            halls.append(Hall(server.folder, server.port, made["contest"], cookies, cards))
        with halls[0].reading_on(random.Random(2)), halls[1].reading_on(random.Random(3)):
            for hall in halls:
                hall.wait_for_an_answer()
            halls[0].port = b.port
            d.process.kill()  # the process that serves ends with it
            for _ in range(5):
                for hall in halls:
                    hall.wait_for_an_answer()
    assert readings(database) == before | halls[0].acknowledged | halls[1].acknowledged


def test_no_reading_is_lost_while_a_newer_version_comes_beside_the_older_and_goes(servers, made, database, tmp_path):
    b, before = servers[1], readings(database)
    cards = [tuple(card) for card in made["cards"][1::2]]
    random.Random(4).shuffle(cards)
    halls = []
    for names in (HELPERS[:2], HELPERS[2:]):
        cookies = {name: made["cookies"][name] for name in names}
        halls.append(Hall(b.folder, b.port, made["contest"], cookies, cards, pace=1))
    newer_version = a_newer_version(tmp_path / "code")
    with halls[0].reading_on(random.Random(5)), serving(database, tmp_path / "n", code=newer_version) as (newer,):
        halls[1].port = newer.port
        with halls[1].reading_on(random.Random(6)):
            for _ in range(3):
                for hall in halls:
                    hall.wait_for_an_answer()
            halls[1].port = b.port
            newer.process.terminate()
            newer.process.wait(PATIENCE)
            halls[1].wait_for_an_answer()
    assert readings(database) == before | halls[0].acknowledged | halls[1].acknowledged
    assert b.status("readyz") == 200
    with psycopg.connect(database) as found:
        assert found.execute("SELECT count(*) FROM contest_reading WHERE heard <> ''").fetchone() == (0,)
