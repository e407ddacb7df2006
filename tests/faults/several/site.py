"""The contest and its processes, and what is done there at once."""

from __future__ import annotations

import contextlib
import random
import re
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.db import connection

from contest.access import SESSION_NAME
from contest.helpers.joining import let_in
from contest.helpers.superintendents import set_password
from contest.models import Contest, Duty
from contest.records import save_record
from contest.records.tallying import tallied
from scoring.board.awards import ListKey
from scoring.board.ceremony import move_on
from scoring.board.queue import queue_lists
from scoring.prints import jobs
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.results.checklist import checklist
from scoring.results.release import release_results
from tests.bench.large_contest import large_record
from tests.contest.processes.servers import PASSWORD
from tests.faults.hall import CSRF, Hall
from tests.faults.several.counts import STALE, Counts
from tests.faults.several.processes import Process
from tests.waiting import eventually

HELPERS = 12


@dataclass(frozen=True)
class Size:
    """`papers`: seconds between two that are ordered, at least and at most; each is the cards of so many. `pace`:
    seconds between two cards of a helper. `read`: how many cards are in before anybody comes."""

    contestants: int = 600
    reveals: int = 10
    papers: tuple[float, float] = (6, 14)
    cards_of: int = 20
    pace: float = 0.5
    read: int = 480


class Site:
    def __init__(self, servers: list[Process], workers: list[Process], size: Size, rng: random.Random) -> None:
        self.servers, self.workers, self.size, self.rng = servers, workers, size, rng
        self.counts, self.stop = Counts(), threading.Event()
        self.away: set[Process] = set()  # where a proxy sends nobody
        self.halls: list[Hall] = []
        self.stages: list[tuple[float, int]] = []  # when each was acknowledged, and how much is revealed
        self.shown: dict[int, str] = {}  # the version of a board by how much is revealed
        self.step = self.revealed = self.coming = 0
        self.jobs: list[int] = []
        self.troubles: list[BaseException] = []

    @property
    def processes(self) -> list[Process]:
        return [*self.servers, *self.workers]

    def start(self) -> None:
        """The workers last, who find the tables there; they are on their way then."""
        for server in self.servers:
            server.start()
        self.wait_until_ready(self.servers)
        for worker in self.workers:
            worker.start()

    @staticmethod
    def wait_until_ready(processes: list[Process]) -> None:
        for process in processes:
            eventually(process.is_ready)

    def make(self) -> None:
        set_password("sue", PASSWORD, "faults")
        record = replace(large_record(self.size.contestants), reasons=(), marks=())
        self.contest = save_record(replace(record, cards=record.cards[: self.size.read]), by="faults")
        queue_lists(self.contest, [ListKey("SR", "overall", "individuals")], self.size.reveals, "faults")
        self.contest.refresh_from_db()
        open_points = checklist(self.contest, tallied(self.contest))
        release_results(self.contest, "faults", {item.key: "faults" for item in open_points})
        self.step = move_on(Contest.objects.get(pk=self.contest.pk), "faults", "begin", 0)
        cards = [(judged.number, person.number) for judged in record.classes for person in record.contestants]
        self.rng.shuffle(cards)
        names = [f"Helper {number}" for number in range(1, HELPERS + 1)]
        cookies = {name: self._cookie(let_in(self.contest, Duty.TABULATOR, name).pk) for name in names}
        self.announcer = self._cookie(let_in(self.contest, Duty.ANNOUNCER, "Ann").pk)
        for server, some in zip(self.servers, (names[::2], names[1::2]), strict=True):
            mine = {name: cookies[name] for name in some}
            hall = Hall(server.folder, server.port, self.contest.pk, mine, cards[:], pace=self.size.pace)
            self.halls.append(hall)
        self.send_back()

    @staticmethod
    def _cookie(helper: int) -> str:
        session = SessionStore()
        session[SESSION_NAME] = helper
        session.save()
        return f"{settings.SESSION_COOKIE_NAME}={session.session_key}"

    def send_elsewhere(self, process: Process) -> None:
        """As a proxy does that has noticed."""
        self.away.add(process)
        other = next(server for server in self.servers if server is not process)
        for hall in self.halls:
            hall.host, hall.port = other.host.address, other.port

    def send_back(self) -> None:
        """All are there: half of the helpers ask each."""
        for hall, server in zip(self.halls, self.servers, strict=True):
            hall.host, hall.port = server.host.address, server.port
        self.away.clear()

    def learn_boards(self) -> None:
        """What a board shows of each stage, as both processes say while nothing is killed."""
        seen: set[str] = set()
        for revealed in range(self.size.reveals + 1):
            if revealed:
                self.move("next")
            self.shown[revealed] = eventually(lambda: self._same_new(seen))
            seen.add(self.shown[revealed])

    def _same_new(self, seen: set[str]) -> str:
        versions = {self.board(server) for server in self.servers}
        return versions.pop() if len(versions) == 1 and not versions & seen else ""

    def board(self, server: Process) -> str:
        """The version of what it shows; empty where nobody answers."""
        status, page = server.ask("GET", f"/board/{self.contest.pk}/?v=none", **{"HX-Request": "true"})
        found = re.search(rb"\?v=(\w+)", page) if status == 200 else None
        return found[1].decode() if found else ""

    def move(self, move: str) -> None:
        """As an announcer whose page sends a press again, to whoever answers, until it is answered."""
        self.coming = self.revealed + (1 if move == "next" else -1)
        body = f"submission={uuid4()}&step={self.step}"
        headers = {"Cookie": f"{self.announcer}; csrftoken={CSRF}", "X-CSRFToken": CSRF, "HX-Request": "true"}
        headers["Content-Type"] = "application/x-www-form-urlencoded"
        path, status = f"/contests/{self.contest.pk}/announcer/move/{move}/", 0
        while status != 200:
            server = self.rng.choice(self.servers)
            status, said = server.ask("POST", path, body, **headers) if server not in self.away else (0, b"")
            assert status in (0, 200) or status >= 500, (status, said[:300])
            time.sleep(0 if status == 200 else 0.05)
        self.step += 1
        self.revealed = self.coming
        self.stages.append((time.monotonic(), self.revealed))
        self.counts.reveals += 1

    def reveal_on(self) -> None:
        while not self.stop.wait(self.rng.uniform(1, 4)):
            down = self.revealed == self.size.reveals or (self.revealed and self.rng.random() < 0.4)
            self.move("back" if down else "next")

    def look_on(self, server: Process) -> None:
        while not self.stop.wait(0.2):
            begun = time.monotonic()
            version = self.board(server)
            if version:
                self.counts.looks += 1
                self._judge(version, begun)

    def _judge(self, version: str, begun: float) -> None:
        """Hold what a board showed to whoever asked at `begun` against what was announced."""
        late = 0.0
        for acknowledged, revealed in reversed(self.stages):
            if version in (self.shown[revealed], self.shown[self.coming]):
                break
            late = begun - acknowledged  # it does not show yet what had been acknowledged so long before
        self.counts.stalest = max(self.counts.stalest, late)
        self.counts.stale += late > STALE

    def print_on(self) -> None:
        while not self.stop.wait(self.rng.uniform(*self.size.papers)):
            self.order()
        connection.close()

    def order(self) -> int:
        numbers = list(self.contest.contestants.values_list("number", flat=True))
        choice = Choice(paper="a4", numbers=tuple(self.rng.sample(numbers, self.size.cards_of)))
        self.jobs.append(jobs.order_job(self.contest, DOCUMENTS["placing-cards"], choice, "faults").pk)
        return self.jobs[-1]

    @contextlib.contextmanager
    def busy(self) -> Iterator[None]:
        """Everybody works for as long as the block runs."""
        works: list[Callable[[], None]] = [self.reveal_on, self.print_on]
        works += [lambda server=server: self.look_on(server) for server in self.servers]  # type: ignore[misc]
        threads = [threading.Thread(target=self._noting_trouble, args=[work]) for work in works]
        with self.halls[0].reading_on(self.rng), self.halls[1].reading_on(self.rng):
            for thread in threads:
                thread.start()
            try:
                yield
            finally:
                self.stop.set()
                for thread in threads:
                    thread.join()
        if self.troubles:
            raise self.troubles[0]

    def _noting_trouble(self, work: Callable[[], None]) -> None:
        try:
            work()
        except BaseException as trouble:
            self.troubles.append(trouble)

    def close(self) -> None:
        for process in self.processes:
            if process.process and process.process.poll() is None:
                process.process.terminate()
        for process in self.processes:
            if process.process:
                process.process.wait(120)


@contextlib.contextmanager
def a_site(servers: list[Process], workers: list[Process], size: Size, seed: int) -> Iterator[Any]:
    """Ready for a run. Django is set up already, on the same database, as one of several."""
    jobs.KEPT = 10_000  # none is thrown away as there are newer ones
    site = Site(servers, workers, size, random.Random(seed))
    try:
        site.start()
        site.make()
        site.learn_boards()
        site.wait_until_ready(site.workers)
        yield site
    finally:
        site.close()
