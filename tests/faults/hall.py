"""A real server on a data folder of its own, helpers who read cards as a desk does, and what the database says of it.

A helper keeps a reading until the server has answered for it in its own words, and sends it again until then, under
the same submission: that is what `static/js/desk-outbox.js` does.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import random
import socket
import sqlite3
import ssl
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from uuid import uuid4

from contest.data_folder import prepare

CHECKOUT = Path(__file__).resolve().parents[2]
PLACINGS = ("3124", "1324", "3142", "")
CSRF = "a" * 32
PATIENCE = 60  # seconds

MAKING = """
import json, os, sys
import django
django.setup()
from dataclasses import replace
from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.core.management import call_command
from contest.access import SESSION_NAME
from contest.health import start
from contest.helpers.joining import let_in
from contest.models import Duty
from contest.records import save_record
from tests.bench.large_contest import large_record

call_command("migrate", verbosity=0)
start.remember()
record = replace(large_record(int(sys.argv[1])), cards=(), reasons=(), marks=())
contest = save_record(record, by="faults")
cookies = {}
for name in sys.argv[2:]:
    session = SessionStore()
    session[SESSION_NAME] = let_in(contest, Duty.TABULATOR, name).pk
    session.save()
    cookies[name] = f"{settings.SESSION_COOKIE_NAME}={session.session_key}"
cards = [[judged.number, person.number] for judged in record.classes for person in record.contestants]
print(json.dumps({"contest": contest.pk, "cookies": cookies, "cards": cards}))
"""


@dataclass
class Hall:
    """`acknowledged` is each reading that was answered for, by its submission: class, number, placing, who. `longest`
    is how many seconds one took at most, from the first try to the answer."""

    folder: Path
    port: int
    contest: int
    cookies: dict[str, str]
    cards: list[tuple[int, int]]
    server: subprocess.Popen | None = None
    host: str = "127.0.0.1"
    pace: float = 0.0  # seconds between two cards of a helper
    proxy: ssl.SSLContext | None = None  # trusts a proxy that serves https before it, whose own refusals are bare pages
    acknowledged: dict[str, tuple[int, int, str, str]] = field(default_factory=dict)
    sent_again: int = 0
    refused: int = 0
    longest: float = 0.0
    troubles: list[Exception] = field(default_factory=list)
    on_answer: Callable[[str], None] = lambda submission: None
    lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def database(self) -> Path:
        return self.folder / "db.sqlite3"

    def start(self) -> None:
        self.server = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.server", str(self.port)],
            cwd=CHECKOUT,
            env=environment(self.folder),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        deadline = time.monotonic() + PATIENCE
        while True:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), 1):
                return
            assert self.server.poll() is None, "the server ended"
            assert time.monotonic() < deadline, "the server does not answer"
            time.sleep(0.02)

    def kill(self) -> None:
        """As a power button held down: nothing is told, nothing is closed."""
        assert self.server is not None
        self.server.kill()
        self.server.wait()

    def close(self) -> None:
        if self.server is not None and self.server.poll() is None:
            self.kill()

    @contextlib.contextmanager
    def reading_on(self, rng: random.Random) -> Iterator[None]:
        """Helpers read cards for as long as the block runs; each then has its last reading acknowledged."""
        stop = threading.Event()
        seeds = {name: rng.random() for name in self.cookies}
        threads = [
            threading.Thread(target=self._read_on, args=(name, random.Random(seed), stop), daemon=True)
            for name, seed in seeds.items()
        ]
        for thread in threads:
            thread.start()
        try:
            yield
        finally:
            stop.set()
            for thread in threads:
                thread.join(PATIENCE)
        assert not any(thread.is_alive() for thread in threads), "a helper waits for an answer"
        if self.troubles:
            raise self.troubles[0]

    def wait_for_an_answer(self) -> None:
        """Until one more reading is acknowledged. Raises what a helper met that no desk could live with."""
        before, deadline = len(self.acknowledged), time.monotonic() + PATIENCE
        while len(self.acknowledged) == before:
            if self.troubles:
                raise self.troubles[0]
            assert time.monotonic() < deadline, "no reading is answered any more"
            time.sleep(0.005)

    def _read_on(self, name: str, rng: random.Random, stop: threading.Event) -> None:
        try:
            self._read_cards(name, rng, stop)
        except Exception as trouble:
            self.troubles.append(trouble)

    def _read_cards(self, name: str, rng: random.Random, stop: threading.Event) -> None:
        with contextlib.closing(self._connection()) as connection:
            while not stop.is_set():
                with self.lock:
                    class_number, number = self.cards.pop()
                card = (class_number, number, rng.choice(PLACINGS), name)
                self._send_until_answered(connection, str(uuid4()), card)
                stop.wait(self.pace)

    def _connection(self) -> http.client.HTTPConnection:
        """One that opens anew after a close."""
        if self.proxy:
            return http.client.HTTPSConnection(self.host, self.port, timeout=10, context=self.proxy)
        return http.client.HTTPConnection(self.host, self.port, timeout=10)

    def _send_until_answered(self, connection, submission: str, card: tuple[int, int, str, str]) -> None:
        tries, kind, begun = 0, "", time.monotonic()
        while not kind:
            tries += 1
            try:
                kind = self._send(connection, submission, card)
            except (OSError, http.client.HTTPException):
                connection.close()
                connection.host, connection.port = self.host, self.port  # which may be another process's by now
            if not kind:
                time.sleep(0.02)
        assert kind in ("saved", "settled", "differs"), kind
        with self.lock:
            self.acknowledged[submission] = card
            self.sent_again += tries - 1
            self.longest = max(self.longest, time.monotonic() - begun)
            self.on_answer(submission)

    def _send(self, connection: http.client.HTTPConnection, submission: str, card: tuple[int, int, str, str]) -> str:
        """The kind of the answer; empty where the reading is to be sent again."""
        class_number, number, placing, name = card
        body = {"submission": submission, "by": name, "class_number": class_number, "number": number}
        headers = {
            "Cookie": f"{self.cookies[name]}; csrftoken={CSRF}",
            "X-CSRFToken": CSRF,
            "Referer": "https://localhost/",
            "Content-Type": "application/json",
            "Accept": "application/json",
        }
        connection.request(
            "POST", f"/contests/{self.contest}/desk/readings/", json.dumps({**body, "placing": placing}), headers
        )
        answer = connection.getresponse()
        said = answer.read()
        if answer.status >= 500:
            with self.lock:
                self.refused += 1
            assert self.proxy or (b"<html" not in said and "text" in json.loads(said)), f"a bare {answer.status}"
            return ""
        assert answer.status == 200, f"{answer.status}: {said[:300]!r}"
        return json.loads(said)["kind"]


@contextlib.contextmanager
def a_hall(folder: Path, port: int, contestants: int = 300, helpers: int = 3) -> Iterator[Hall]:
    prepare(folder)  # with its key, which the sessions are signed with
    names = [f"Helper {number}" for number in range(1, helpers + 1)]
    made = subprocess.run(
        [sys.executable, "-c", MAKING, str(contestants), *names],
        cwd=CHECKOUT,
        env=environment(folder),
        capture_output=True,
        text=True,
    )
    assert made.returncode == 0, made.stderr
    said = json.loads(made.stdout)
    cards = [tuple(card) for card in said["cards"]]
    random.Random(1).shuffle(cards)
    hall = Hall(folder, port, said["contest"], said["cookies"], cards)
    try:
        yield hall
    finally:
        hall.close()


def environment(folder: Path) -> dict[str, str]:
    named = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "TANBARK_COPIES")}
    return {**named, "TANBARK_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "contest.settings"}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@dataclass(frozen=True)
class Found:
    """What a database says: `lost` acknowledged readings that are not there or are others, readings that are there
    `twice`, and changes that are `torn`."""

    readings: int
    lost: int
    twice: int
    torn: int
    check: str

    @property
    def is_whole(self) -> bool:
        return (self.lost, self.twice, self.torn, self.check) == (0, 0, 0, "ok")


def look_into(database: Path, acknowledged: dict[str, tuple[int, int, str, str]]) -> Found:
    """Hold what the database has against what was acknowledged.

    A change is torn where its reading has no entry in the trail, its card is missing, or the trail has a hole or ends
    elsewhere than the contest says.
    """
    with contextlib.closing(sqlite3.connect(database)) as opened:
        check = opened.execute("PRAGMA quick_check(1)").fetchone()[0]
        rows = opened.execute(
            "SELECT submission, contest_judgingclass.number, contest_reading.number, placing, by, contestant_id, "
            "judging_class_id FROM contest_reading JOIN contest_judgingclass "
            "ON contest_judgingclass.id = judging_class_id"
        ).fetchall()
        entries = opened.execute(
            "SELECT count(*) FROM contest_trailentry WHERE contest_id IS NOT NULL AND what = 'card_read'"
        ).fetchone()[0]
        cards = set(opened.execute("SELECT judging_class_id, contestant_id FROM contest_card").fetchall())
        revisions = [row[0] for row in opened.execute("SELECT revision FROM contest_trailentry WHERE contest_id = 1")]
        (revision,) = opened.execute("SELECT revision FROM contest_contest WHERE id = 1").fetchone()
    here = {row[0]: row[1:5] for row in rows}
    cards_read = {(row[6], row[5]) for row in rows}
    torn = abs(entries - len(rows)) + len(cards_read - cards) + len(cards - cards_read)
    torn += sorted(revisions) != list(range(1, revision + 1))
    lost = sum(here.get(submission.replace("-", "")) != card for submission, card in acknowledged.items())
    pairs = [(row[1], row[2], row[4]) for row in rows]
    return Found(len(rows), lost, len(pairs) - len(set(pairs)), torn, check)
