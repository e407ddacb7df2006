"""Many contests at once on a server of a season: python -m tests.bench.bench_many_contests

A private PostgreSQL that waits for the disk, two `serve` and one `work`, each a process with a data folder of its own,
and helpers who read the cards of their own contest at people's pace through either process, each card twice, while
boards look on and papers are printed. First one contest alone, then all of them.

Targets: no reading refused, lost or doubled, no paper failed; p95 as a ratio to one contest alone. Then what one hour
of one contest costs: processor time, transactions, bytes.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import random
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, NamedTuple

import psycopg

from tests.bench.hall import PHONE_ASKS_EVERY, TICKS, Browser, Reader, Viewer, cpu_seconds, p

CONTESTANTS = 60
SECRET = "the secret that all processes of this bench have in common"
PRINTED = "placing-cards"
A_PAPER_EVERY = 10.0
"""Seconds between two papers that are ordered, whoever's contest it is."""
ALONE = 60.0
WORD = "Works on what is ordered"


@dataclass
class Crowd:
    """One contest's helpers and boards, and what its readings took."""

    contest: Any
    readers: list[Reader]
    boards: list[Viewer]


class Costs(NamedTuple):
    """What the processes and the database had used at a moment."""

    serving: float
    printing: float
    database: float
    transactions: int
    log: int
    size: int

    def since(self, before: Costs) -> Costs:
        return Costs(*(now - then for now, then in zip(self, before, strict=True)))


@dataclass
class Site:
    url: str
    servers: list[Any]
    worker: Any
    postmaster: int
    crowds: list[Crowd] = field(default_factory=list)

    def costs(self) -> Costs:
        with psycopg.connect(self.url) as asked:
            row = asked.execute(
                "SELECT (SELECT sum(xact_commit) FROM pg_stat_database)::bigint,"
                " (SELECT wal_bytes FROM pg_stat_wal)::bigint, pg_database_size(current_database())"
            ).fetchone()
        assert row is not None
        serving = sum(used(server.process.pid) for server in self.servers)
        return Costs(serving, used(self.worker.pid), used(self.postmaster), *row)


def used(pid: int) -> float:
    """The processor time of a process, its children and those of them that have ended."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return cpu_seconds(pid) + (int(fields[13]) + int(fields[14])) / TICKS


@contextmanager
def a_site() -> Iterator[Site]:
    from tests.contest.processes.servers import FILES, command, serving
    from tests.postgres import by_the_superuser, private_server
    from tests.waiting import eventually

    with tempfile.TemporaryDirectory(prefix="tanbark-bench-") as name, private_server(durable=True) as url:
        folder = Path(name)
        os.environ |= {"DATABASE_URL": url, "TANBARK_DATA": str(folder / "own"), "TANBARK_SECRET_KEY": SECRET}
        os.environ |= {"DJANGO_SETTINGS_MODULE": "contest.settings", "TANBARK_SEVERAL": "1", "TANBARK_FILES": FILES}
        (folder / "own").mkdir()
        import django

        django.setup()
        with serving(url, folder / "a", folder / "b", secret=SECRET) as servers:
            worker = command("work", url=url, folder=folder / "w", secret=SECRET)
            try:
                eventually(lambda: WORD in (folder / "w.said").read_text())
                with psycopg.connect(by_the_superuser(url)) as asked:
                    row = asked.execute("SELECT pg_read_file('postmaster.pid')").fetchone()
                assert row is not None
                yield Site(url, servers, worker, int(row[0].split()[0]))
            finally:
                worker.terminate()
                worker.wait(60)


def a_crowd(site: Site, at: int, helpers: int, boards: int) -> Crowd:
    """A contest of which one card is read, so that its board shows it, and who is in it; half of them ask the one
    process, half the other."""
    from django.conf import settings
    from django.contrib.sessions.backends.db import SessionStore

    from contest.access import SESSION_NAME
    from contest.helpers.joining import let_in
    from contest.models import Duty
    from contest.records import save_record
    from tests.bench.large_contest import large_record

    record = large_record(CONTESTANTS, seed=at)
    rules = replace(record.rules, name=f"Contest {at}")
    contest = save_record(replace(record, rules=rules, cards=record.cards[:1], reasons=(), marks=()), "bench")
    cards = [(judged.number, person.number) for judged in record.classes for person in record.contestants]
    random.shuffle(cards)
    pairs = helpers // 2
    crowd = Crowd(contest, [], [])
    for place in range(2 * pairs):  # two of them read the same cards
        name, port = f"Helper {place}", site.servers[(at + place) % 2].port
        session = SessionStore()
        session[SESSION_NAME] = let_in(contest, Duty.TABULATOR, name).pk
        session.save()
        browser = Browser(port, f"{settings.SESSION_COOKIE_NAME}={session.session_key}")
        mine = cards[place % pairs :: pairs]
        crowd.readers.append(Reader(browser, name, f"/contests/{contest.pk}/desk/readings/", mine))
    for place in range(boards):
        port = site.servers[place % 2].port
        crowd.boards.append(Viewer(Browser(port), f"/board/{contest.pk}/", PHONE_ASKS_EVERY))
    return crowd


async def read(crowds: list[Crowd], seconds: float, pace: float) -> list[float]:
    """All of them read and look on; seconds that each reading took. Raises where one is refused."""
    for crowd in crowds:
        for reader in crowd.readers:
            reader.times.clear()
    until = time.monotonic() + seconds
    printing = asyncio.create_task(print_on(crowds, until))
    reading = [reader.read_on(until, pace) for crowd in crowds for reader in crowd.readers]
    looking = [board.look_on(until) for crowd in crowds for board in crowd.boards]
    await asyncio.gather(*reading, *looking)
    await printing
    return [moment for crowd in crowds for reader in crowd.readers for moment in reader.times]


async def print_on(crowds: list[Crowd], until: float) -> None:
    while time.monotonic() + A_PAPER_EVERY / 2 < until:
        await asyncio.to_thread(order, random.choice(crowds).contest.pk)
        await asyncio.sleep(A_PAPER_EVERY)


def order(contest_id: int) -> None:
    from django.db import connection

    from contest.models import Contest
    from scoring.prints.catalogue import DOCUMENTS
    from scoring.prints.choice import Choice
    from scoring.prints.jobs import order_job

    order_job(Contest.objects.get(pk=contest_id), DOCUMENTS[PRINTED], Choice(paper="a4"), "bench")
    connection.close()


def lost_or_doubled(answered: int) -> tuple[int, int]:
    """How many readings were answered for and are not there; how many are there more than once."""
    from contest.models import Reading

    rows = list(Reading.objects.filter(by__startswith="Helper").values_list("contestant", "judging_class", "by"))
    return answered - len(set(rows)), len(rows) - len(set(rows))


def papers() -> dict[str, int]:
    """How many papers came to what, once none is waited for."""
    from django.db.models import Count

    from scoring.models import PrintJob
    from scoring.prints.jobs import OPEN
    from tests.waiting import eventually

    eventually(lambda: not PrintJob.objects.filter(state__in=OPEN).exists())
    return dict(PrintJob.objects.order_by("state").values_list("state").annotate(Count("pk")))


def tell(what: str, times: list[float], seconds: float) -> None:
    figures = ", ".join(f"p{part} {p(times, part / 100):.1f} ms" for part in (50, 95, 99))
    print(
        f"{what:<14}{figures}, longest {max(times) * 1000:.0f} ms; {len(times)} readings, {len(times) / seconds:.0f}/s"
    )


def tell_costs(costs: Costs, contests: int, seconds: float, readings: int) -> None:
    hours = contests * seconds / 3600
    print(
        f"one hour of one contest: {costs.serving / hours:.0f} s of processor time to serve, "
        f"{costs.database / hours:.0f} s in PostgreSQL, {costs.printing / hours:.0f} s to print; "
        f"{costs.transactions / hours:,.0f} transactions, {costs.log / hours / 1e6:.1f} MB of log, "
        f"{costs.size / hours / 1e6:.1f} MB larger; {readings / hours:,.0f} readings"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--contests", type=int, default=60)
    parser.add_argument("--helpers", type=int, default=10)
    parser.add_argument("--boards", type=int, default=2)
    parser.add_argument("--pace", type=float, default=6.0, help="seconds between two cards of a helper")
    parser.add_argument("--seconds", type=float, default=600)
    options = parser.parse_args()
    random.seed(1)
    with a_site() as site:
        crowds = [a_crowd(site, at, options.helpers, options.boards) for at in range(options.contests + 1)]
        who = f"{options.helpers} helpers a contest, a card in {options.pace:g} s each, {options.boards} boards"
        print(f"{who}, load {os.getloadavg()[0]:.1f}")
        first, others = crowds[:1], crowds[1:]
        alone = asyncio.run(read(first, ALONE, options.pace))
        tell("one alone", alone, ALONE)
        before = site.costs()
        times = asyncio.run(read(others, options.seconds, options.pace))
        made = papers()
        costs = site.costs().since(before)
        tell(f"{options.contests} at once", times, options.seconds)
        print(f"p95 ratio {p(times, 0.95) / p(alone, 0.95):.2f}")
        lost, doubled = lost_or_doubled(len(alone) + len(times))
        print(f"lost {lost}, doubled {doubled}; papers {made}")
        tell_costs(costs, options.contests, options.seconds, len(times))


if __name__ == "__main__":
    main()
