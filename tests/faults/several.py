"""Any of several processes killed at random while everybody works: python -m tests.faults.several --seed 1

Two `serve` and two `work` on one PostgreSQL that waits for the disk, each with a data folder of its own. Helpers read
cards through both, papers are ordered, an announcer reveals and takes back awards, and boards look on, while one
process after another is killed (kill -9, of a `serve` sometimes only the process that serves) and begun again.

Counted at the end: what was acknowledged and is lost or doubled, papers that did not come or cannot be fetched from
both, and boards that showed what was overtaken more than two seconds before.
"""

from __future__ import annotations

import argparse
import contextlib
import http.client
import json
import os
import random
import re
import signal
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any
from uuid import uuid4

HELPERS = 12
PACE = 0.5
"""Seconds between two cards of a helper."""
REVEALS = 10
STALE = 2.0
"""Seconds after which a board must show what was announced."""
SECRET = "the secret that all processes of this run have in common"
WORD = "Prints what is ordered"


@dataclass
class Process:
    """A `serve` or `work` that is begun again whenever it was killed."""

    url: str
    name: str
    folder: Path
    port: int = 0
    process: Any = None

    def start(self) -> None:
        from tests.contest.processes.servers import command
        from tests.faults.hall import free_port

        self.said.unlink(missing_ok=True)
        if self.name == "serve":
            self.port = free_port()
        options = ["--port", str(self.port), "--drain", "0"] if self.port else []
        self.process = command(self.name, *options, url=self.url, folder=self.folder, secret=SECRET)

    @property
    def said(self) -> Path:
        return self.folder.with_suffix(".said")

    def is_ready(self) -> bool:
        assert self.process.poll() is None, self.said.read_text()
        if self.name == "work":
            return WORD in self.said.read_text()
        return asked(self.port, "GET", "/readyz")[0] == 200

    def kill(self, only_child: bool) -> None:
        from tests.processes import children_of, serving_process_of

        child = serving_process_of(self.process.pid) if self.name == "serve" else None
        below = children_of(child or self.process.pid)
        if not only_child or not child:
            self.process.kill()
            self.process.wait()
        for pid in [child, *below]:  # a machine that is gone takes with it what its processes had begun
            if pid:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)


@dataclass
class Counts:
    kills: int = 0
    kills_of: dict[str, int] = field(default_factory=dict)
    readings: int = 0
    sent_again: int = 0
    lost: int = 0
    doubled: int = 0
    reveals: int = 0
    reveals_wrong: int = 0
    papers: int = 0
    taken_up_again: int = 0
    papers_lost: int = 0
    looks: int = 0
    stale: int = 0
    stalest: float = 0.0
    boards_differ: int = 0

    @property
    def is_whole(self) -> bool:
        return not (
            self.lost or self.doubled or self.reveals_wrong or self.papers_lost or self.stale or self.boards_differ
        )

    def __str__(self) -> str:
        killed = ", ".join(f"{count} {what}" for what, count in sorted(self.kills_of.items()))
        return (
            f"{self.kills} kills ({killed}); {self.readings} readings acknowledged, {self.sent_again} sent again, "
            f"lost {self.lost}, doubled {self.doubled}; {self.reveals} moves of the ceremony, lost or doubled "
            f"{self.reveals_wrong}; {self.papers} papers, {self.taken_up_again} taken up again, lost "
            f"{self.papers_lost}; {self.looks} looks at boards, {self.stale} later than {STALE:g} s, the latest "
            f"{self.stalest:.2f} s, {self.boards_differ} differ at the end"
        )


def asked(port: int, method: str, path: str, body: str = "", **headers: str) -> tuple[int, bytes]:
    """Status and body; 0 where nobody answers."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    with contextlib.closing(connection):
        try:
            connection.request(method, path, body or None, headers)
            answer = connection.getresponse()
            return answer.status, answer.read()
        except (OSError, http.client.HTTPException):
            return 0, b""


class Site:
    """The contest and its processes, and what is done there at once."""

    def __init__(self, url: str, folder: Path, rng: random.Random) -> None:
        self.rng, self.counts, self.stop = rng, Counts(), threading.Event()
        self.servers = [Process(url, "serve", folder / name) for name in "ab"]
        self.workers = [Process(url, "work", folder / name) for name in ("w1", "w2")]
        self.away: set[int] = set()  # ports where nobody is
        self.halls: list[Any] = []
        self.stages: list[tuple[float, int]] = []  # when each was acknowledged, and how much is revealed
        self.shown: dict[int, str] = {}  # the version of a board by how much is revealed
        self.step = self.revealed = self.coming = 0
        self.jobs: list[int] = []
        self.troubles: list[BaseException] = []

    @property
    def processes(self) -> list[Process]:
        return [*self.servers, *self.workers]

    def start(self) -> None:
        from tests.waiting import eventually

        for kind in (self.servers, self.workers):  # who works finds the tables there
            for process in kind:
                process.start()
            for process in kind:
                eventually(process.is_ready)

    def make(self, contestants: int) -> None:
        from contest.helpers.joining import let_in
        from contest.helpers.superintendents import set_password
        from contest.models import Contest, Duty
        from contest.records import save_record
        from contest.records.tallying import tallied
        from scoring.board.awards import ListKey
        from scoring.board.ceremony import move_on
        from scoring.board.queue import queue_lists
        from scoring.results.checklist import checklist
        from scoring.results.release import release_results
        from tests.bench.large_contest import large_record
        from tests.contest.processes.servers import PASSWORD
        from tests.faults.hall import Hall

        set_password("sue", PASSWORD, "faults")
        record = replace(large_record(contestants), reasons=(), marks=())
        self.contest = save_record(replace(record, cards=record.cards[: 12 * 40]), by="faults")
        queue_lists(self.contest, [ListKey("SR", "overall", "individuals")], REVEALS, "faults")
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
            self.halls.append(Hall(server.folder, server.port, self.contest.pk, mine, cards[:], pace=PACE))

    @staticmethod
    def _cookie(helper: int) -> str:
        from django.conf import settings
        from django.contrib.sessions.backends.db import SessionStore

        from contest.access import SESSION_NAME

        session = SessionStore()
        session[SESSION_NAME] = helper
        session.save()
        return f"{settings.SESSION_COOKIE_NAME}={session.session_key}"

    def learn_boards(self) -> None:
        """What a board shows of each stage, as both processes say while nothing is killed."""
        from tests.waiting import eventually

        ports = [server.port for server in self.servers]
        seen: set[str] = set()
        for revealed in range(REVEALS + 1):
            if revealed:
                self.move("next")
            versions = eventually(lambda: self._same_new(ports, seen))
            seen.add(versions)
            self.shown[revealed] = versions

    def _same_new(self, ports: list[int], seen: set[str]) -> str:
        versions = {self.board(port) for port in ports}
        return versions.pop() if len(versions) == 1 and not versions & seen else ""

    def board(self, port: int) -> str:
        """The version of what it shows; empty where nobody answers."""
        status, page = asked(port, "GET", f"/board/{self.contest.pk}/?v=none", **{"HX-Request": "true"})
        found = re.search(rb"\?v=(\w+)", page) if status == 200 else None
        return found[1].decode() if found else ""

    def move(self, move: str) -> None:
        """As an announcer whose page sends a press again, to whoever answers, until it is answered."""
        from tests.faults.hall import CSRF

        self.coming = self.revealed + (1 if move == "next" else -1)
        body = f"submission={uuid4()}&step={self.step}"
        headers = {"Cookie": f"{self.announcer}; csrftoken={CSRF}", "X-CSRFToken": CSRF, "HX-Request": "true"}
        headers["Content-Type"] = "application/x-www-form-urlencoded"
        path, status = f"/contests/{self.contest.pk}/announcer/move/{move}/", 0
        while status != 200:
            port = self.rng.choice([server.port for server in self.servers])
            status, said = asked(port, "POST", path, body, **headers) if port not in self.away else (0, b"")
            assert status in (0, 200) or status >= 500, (status, said[:300])
            time.sleep(0 if status == 200 else 0.05)
        self.step += 1
        self.revealed = self.coming
        self.stages.append((time.monotonic(), self.revealed))
        self.counts.reveals += 1

    def reveal_on(self) -> None:
        while not self.stop.wait(self.rng.uniform(1, 4)):
            down = self.revealed == REVEALS or (self.revealed and self.rng.random() < 0.4)
            self.move("back" if down else "next")

    def look_on(self, server: Process) -> None:
        while not self.stop.wait(0.2):
            begun = time.monotonic()
            version = self.board(server.port)
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
        from django.db import connection

        from scoring.prints import jobs
        from scoring.prints.catalogue import DOCUMENTS
        from scoring.prints.choice import Choice

        jobs.KEPT = 10_000  # none is thrown away as there are newer ones
        numbers = list(self.contest.contestants.values_list("number", flat=True))
        while not self.stop.wait(self.rng.uniform(6, 14)):
            choice = Choice(paper="a4", numbers=tuple(self.rng.sample(numbers, 20)))
            self.jobs.append(jobs.order_job(self.contest, DOCUMENTS["placing-cards"], choice, "faults").pk)
        connection.close()

    def kill_on(self, until: float) -> None:
        from tests.waiting import eventually

        while time.monotonic() < until:
            time.sleep(self.rng.uniform(2, 8))
            process = self.rng.choice(self.processes)
            only_child = process.name == "serve" and self.rng.random() < 0.4
            what = "serving process" if only_child else process.name
            self.counts.kills += 1
            self.counts.kills_of[what] = self.counts.kills_of.get(what, 0) + 1
            if not only_child and process in self.servers:
                self._send_elsewhere(process)
            process.kill(only_child)
            if not only_child:
                time.sleep(self.rng.uniform(0, 2))
                process.start()
            eventually(process.is_ready)
            for hall, server in zip(self.halls, self.servers, strict=True):
                hall.port = server.port
            self.away.clear()

    def _send_elsewhere(self, process: Process) -> None:
        """As a proxy does that has noticed."""
        self.away.add(process.port)
        other = next(server for server in self.servers if server is not process)
        for hall in self.halls:
            hall.port = other.port

    def at_once(self, seconds: float) -> None:
        works: list[Callable[[], None]] = [self.reveal_on, self.print_on]
        works += [lambda server=server: self.look_on(server) for server in self.servers]  # type: ignore[misc]
        threads = [threading.Thread(target=self._noting_trouble, args=[work]) for work in works]
        with self.halls[0].reading_on(self.rng), self.halls[1].reading_on(self.rng):
            for thread in threads:
                thread.start()
            try:
                self.kill_on(time.monotonic() + seconds)
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

    def count(self) -> Counts:
        from contest.models import Reading
        from scoring.models import Ceremony, PrintJob
        from scoring.prints.jobs import OPEN
        from tests.waiting import eventually

        counts = self.counts
        acknowledged = {key: card for hall in self.halls for key, card in hall.acknowledged.items()}
        counts.readings, counts.sent_again = len(acknowledged), sum(hall.sent_again for hall in self.halls)
        rows = Reading.objects.filter(by__startswith="Helper").values_list(
            "submission", "judging_class__number", "number", "placing", "by"
        )
        here = {str(row[0]): tuple(row[1:]) for row in rows}
        counts.lost = sum(here.get(key) != card for key, card in acknowledged.items())
        counts.doubled = len(rows) - len({(row[1], row[2], row[4]) for row in rows})
        counts.reveals_wrong = abs(Ceremony.objects.get(contest=self.contest).step - self.step)
        while PrintJob.objects.filter(pk__in=self.jobs, state__in=OPEN).exists():  # however busy the machine is
            time.sleep(1)
        counts.papers = len(self.jobs)
        counts.taken_up_again = PrintJob.objects.filter(pk__in=self.jobs, attempt__gt=1).count()
        lost = self._not_fetched_from_both()
        counts.papers_lost = len(lost)
        for job in PrintJob.objects.filter(pk__in=lost):
            print(f"paper {job.pk}: {job.state} at attempt {job.attempt}: {job.problem}")
        versions = eventually(lambda: [self.board(server.port) for server in self.servers])
        counts.boards_differ = sum(version != self.shown[self.revealed] for version in versions)
        return counts

    def _not_fetched_from_both(self) -> list[int]:
        from tests.contest.processes.servers import PASSWORD, Browser

        papers = []
        for server in self.servers:
            browser = Browser()
            browser.send(server, "sign-in/", name="sue", password=PASSWORD)
            address = f"contests/{self.contest.pk}/prints/files/"
            papers.append([browser.get(server, f"{address}{job}/")[1] for job in self.jobs])
        both = zip(self.jobs, *papers, strict=True)
        return [job for job, one, other in both if one != other or not one.startswith("%PDF-")]

    def close(self) -> None:
        for process in self.processes:
            if process.process and process.process.poll() is None:
                process.process.terminate()
        for process in self.processes:
            if process.process:
                process.process.wait(120)


@contextlib.contextmanager
def a_site(url: str, folder: Path, seed: int, contestants: int) -> Iterator[Site]:
    """Ready for a run. Django is set up already, on the same database, as one of several."""
    site = Site(url, folder, random.Random(seed))
    try:
        site.start()
        site.make(contestants)
        site.learn_boards()
        yield site
    finally:
        site.close()


def main() -> None:
    from tests.postgres import private_server

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="tanbark-faults-") as name, private_server(durable=True) as url:
        folder = Path(name)
        os.environ |= {"DATABASE_URL": url, "TANBARK_DATA": str(folder / "own"), "TANBARK_SECRET_KEY": SECRET}
        os.environ |= {"DJANGO_SETTINGS_MODULE": "contest.settings", "TANBARK_SEVERAL": "1"}
        (folder / "own").mkdir()
        from tests.contest.processes.servers import FILES

        os.environ["TANBARK_FILES"] = FILES
        import django

        django.setup()
        with a_site(url, folder, options.seed, contestants=600) as site:
            site.at_once(options.seconds)
            counts = site.count()
    print(f"seed {options.seed}, {options.seconds:g} s, load {os.getloadavg()[0]:.1f}: {counts}")
    print(json.dumps({"whole": counts.is_whole}))


if __name__ == "__main__":
    main()
