"""A hall for the benches: the real server on a free port with a data folder of its own, and who is in it.

Helpers who post readings, and viewers who ask as often as the board's page does, all from this one process.
"""

import asyncio
import contextlib
import gzip
import json
import os
import random
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field, replace
from pathlib import Path
from uuid import uuid4

CHECKOUT = Path(__file__).resolve().parents[2]
CONTESTANTS = 300
HELPERS = 12
SCREENS = 4  # of the viewers; the rest are phones
SCREEN_ASKS_EVERY, PHONE_ASKS_EVERY, ALL_ASK_EVERY = 1.0, 3.0, 0.9  # seconds; the last one during a ceremony
PACE = 1.0  # seconds between two cards of a helper: nobody types faster for long
REVEALS = 10
PLACINGS = ("3124", "1324", "3142")
CSRF = "a" * 32
TICKS = os.sysconf("SC_CLK_TCK")


@dataclass
class Answer:
    status: int
    body: bytes
    size: int  # bytes that came over the network, with the headers


class Browser:
    """One connection that is kept open, as a browser keeps it."""

    def __init__(self, port: int, cookies: str = ""):
        self.port = port
        self.cookies = cookies
        self.reader = self.writer = None

    async def ask(self, path: str, body: bytes | None = None, kind: str = "application/json", htmx=False) -> Answer:
        if self.writer is None:
            self.reader, self.writer = await asyncio.open_connection("127.0.0.1", self.port)
        lines = [f"{'GET' if body is None else 'POST'} {path} HTTP/1.1", "Host: localhost", "Accept-Encoding: gzip"]
        if self.cookies:
            lines += [f"Cookie: {self.cookies}; csrftoken={CSRF}", f"X-CSRFToken: {CSRF}"]
        if body is not None:
            lines += [f"Content-Type: {kind}", f"Content-Length: {len(body)}", "Accept: application/json"]
        if htmx:
            lines.append("HX-Request: true")
        self.writer.write("\r\n".join([*lines, "", ""]).encode() + (body or b""))
        try:
            head = await self.reader.readuntil(b"\r\n\r\n")
        except asyncio.IncompleteReadError:
            if body is not None:
                raise
            self.writer = None  # it was idle for too long; a browser opens another one too
            return await self.ask(path)
        status = int(head.split(b" ", 2)[1])
        length = re.search(rb"(?i)content-length: (\d+)", head)
        content = await self.reader.readexactly(int(length.group(1))) if length and status != 204 else b""
        return Answer(status, content, len(head) + len(content))

    def close(self):
        if self.writer is not None:
            self.writer.close()


@dataclass
class Viewer:
    """A board that asks again and again, and remembers when it saw what."""

    browser: Browser
    address: str
    asks_every: float
    version: str = ""
    polls: int = 0
    changes: int = 0
    size: int = 0
    seen: list[float] = field(default_factory=list)

    async def look_on(self, until: float) -> None:
        await asyncio.sleep(random.random() * self.asks_every)
        while time.monotonic() < until:
            due = time.monotonic() + self.asks_every
            answer = await self.browser.ask(f"{self.address}?v={self.version}")
            self.polls += 1
            self.size += answer.size
            if answer.status == 200:
                self.version = re.search(r"\?v=(\w+)", gzip.decompress(answer.body).decode()).group(1)
                self.changes += 1
                self.seen.append(time.monotonic())
            elif answer.status != 204:
                raise RuntimeError(f"a board was answered {answer.status}")
            await asyncio.sleep(max(0, min(due, until) - time.monotonic()))


@dataclass
class Reader:
    """A helper who reads one card after the other."""

    browser: Browser
    name: str
    address: str
    cards: list[tuple[int, int]]
    times: list[float] = field(default_factory=list)

    async def read_on(self, until: float, pace: float) -> None:
        await asyncio.sleep(random.random() * pace)
        while time.monotonic() < until:
            due = time.monotonic() + pace
            class_number, number = self.cards.pop()
            body = {"submission": str(uuid4()), "by": self.name, "class_number": class_number, "number": number}
            body["placing"] = random.choice(PLACINGS)
            began = time.monotonic()
            answer = await self.browser.ask(self.address, json.dumps(body).encode())
            self.times.append(time.monotonic() - began)
            if answer.status != 200:
                raise RuntimeError(f"a reading was answered {answer.status}: {answer.body[:200]}")
            await asyncio.sleep(max(0, due - time.monotonic()))


def p(times: list[float], part: float) -> float:
    """A percentile, in milliseconds."""
    ordered = sorted(times)
    return ordered[min(len(ordered) - 1, int(len(ordered) * part))] * 1000


def cpu_seconds(pid: int) -> float:
    """The processor time of a process and its children so far."""
    total = 0
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        with contextlib.suppress(OSError):
            fields = (entry / "stat").read_text().rpartition(")")[2].split()
            if int(entry.name) == pid or int(fields[1]) == pid or int(fields[2]) == pid:
                total += int(fields[11]) + int(fields[12])
    return total / TICKS


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Hall:
    """The server, its contest, and whoever is in the hall."""

    def __init__(self, viewers: int, helpers: int = HELPERS):
        self.folder = Path(tempfile.mkdtemp(prefix="tanbark-bench-"))
        self.port = free_port()
        self.viewer_count, self.helper_count = viewers, helpers
        self.server = None

    def open(self) -> None:
        environment = os.environ | {"TANBARK_DATA": str(self.folder)}
        self.server = subprocess.Popen(
            self.command(), cwd=CHECKOUT, env=environment, stdout=subprocess.DEVNULL, start_new_session=True
        )
        for _ in range(1500):  # five minutes, on a machine busy with other work
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), 1):
                break
            time.sleep(0.2)
        else:
            raise RuntimeError("the server does not answer")
        os.environ |= {"TANBARK_DATA": str(self.folder), "DJANGO_SETTINGS_MODULE": "contest.settings"}
        import django

        django.setup()
        self._make_contest()

    def command(self) -> list[str]:
        """What starts the server."""
        return [sys.executable, "manage.py", "up", "--no-demo", "--host", "127.0.0.1", "--port", str(self.port)]

    def _make_contest(self) -> None:
        from contest.helpers.joining import let_in
        from contest.models import Duty
        from contest.records import save_record
        from tests.bench.large_contest import large_record

        record = replace(large_record(CONTESTANTS), cards=(), reasons=(), marks=())
        self.contest = save_record(record, by="bench")
        numbers = [person.number for person in record.contestants]
        names = [f"Helper {position}" for position in range(1, self.helper_count + 1)]
        self.readers = []
        for name in names:
            cards = [(judged.number, number) for judged in record.classes for number in numbers]
            random.shuffle(cards)
            browser = self._browser(let_in(self.contest, Duty.TABULATOR, name))
            self.readers.append(Reader(browser, name, f"/contests/{self.contest.pk}/desk/readings/", cards))
        self.announcer = self._browser(let_in(self.contest, Duty.ANNOUNCER, "Announcer"))
        self.board = f"/board/{self.contest.pk}/"
        self.viewers = [
            Viewer(Browser(self.port), self.board, SCREEN_ASKS_EVERY if place < SCREENS else PHONE_ASKS_EVERY)
            for place in range(self.viewer_count)
        ]

    def _browser(self, helper) -> Browser:
        from django.conf import settings
        from django.contrib.sessions.backends.db import SessionStore

        from contest.access import SESSION_NAME

        session = SessionStore()
        session[SESSION_NAME] = helper.pk
        session.save()
        return Browser(self.port, f"{settings.SESSION_COOKIE_NAME}={session.session_key}")

    def sign_in(self) -> Browser:
        """A browser of the superintendent's."""
        from django.conf import settings
        from django.contrib.auth.models import User
        from django.test import Client

        client = Client()
        client.force_login(User.objects.first())
        name = settings.SESSION_COOKIE_NAME
        return Browser(self.port, f"{name}={client.cookies[name].value}")

    def release(self) -> None:
        from contest.models import Contest
        from contest.records.tallying import tallied
        from scoring.board.awards import ListKey
        from scoring.board.ceremony import move_on
        from scoring.board.queue import queue_lists
        from scoring.results.checklist import checklist
        from scoring.results.release import release_results

        contest = Contest.objects.get(pk=self.contest.pk)
        queue_lists(contest, [ListKey("SR", "overall", "individuals")], REVEALS, "bench")
        contest.refresh_from_db()
        release_results(contest, "bench", {item.key: "bench" for item in checklist(contest, tallied(contest))})
        move_on(Contest.objects.get(pk=contest.pk), "bench", "begin", 0)

    def close(self) -> None:
        if self.server is not None:
            os.killpg(self.server.pid, signal.SIGINT)
            with contextlib.suppress(subprocess.TimeoutExpired):
                self.server.wait(15)
            if self.server.poll() is None:
                os.killpg(self.server.pid, signal.SIGKILL)
        shutil.rmtree(self.folder, ignore_errors=True)
