"""What is there at the end, held against what was acknowledged and ordered."""

from __future__ import annotations

import contextlib
import os
import signal
import time
from collections.abc import Iterator

from contest.models import Reading
from scoring.models import Ceremony, PrintJob
from scoring.prints.jobs import OPEN
from tests.contest.processes.servers import PASSWORD, Browser
from tests.faults.several.counts import Counts
from tests.faults.several.processes import Process
from tests.faults.several.site import Site
from tests.waiting import PATIENCE, eventually


def count(site: Site, each_worker: bool) -> Counts:
    """`each_worker`: whether each is asked to print something alone: whatever happened to it, it takes jobs."""
    counts = site.counts
    _count_readings(site)
    counts.reveals_wrong = abs(Ceremony.objects.get(contest=site.contest).step - site.step)
    _wait_for_papers(site)
    for worker in site.workers if each_worker else ():
        with _others_stand_still(site.workers, worker):
            site.order()
            _wait_for_papers(site)
    counts.papers = len(site.jobs)
    counts.taken_up_again = PrintJob.objects.filter(pk__in=site.jobs, attempt__gt=1).count()
    lost = _not_fetched_from_both(site)
    counts.papers_lost = len(lost)
    for job in PrintJob.objects.filter(pk__in=lost):
        print(f"paper {job.pk}: {job.state} at attempt {job.attempt}: {job.problem}")
    versions = eventually(lambda: [site.board(server) for server in site.servers])
    counts.boards_differ = sum(version != site.shown[site.revealed] for version in versions)
    return counts


def _count_readings(site: Site) -> None:
    counts = site.counts
    acknowledged = {key: card for hall in site.halls for key, card in hall.acknowledged.items()}
    counts.readings, counts.sent_again = len(acknowledged), sum(hall.sent_again for hall in site.halls)
    counts.refused = sum(hall.refused for hall in site.halls)
    counts.longest_reading = max(hall.longest for hall in site.halls)
    rows = Reading.objects.filter(by__startswith="Helper").values_list(
        "submission", "judging_class__number", "number", "placing", "by"
    )
    here = {str(row[0]): tuple(row[1:]) for row in rows}
    counts.lost = sum(here.get(key) != card for key, card in acknowledged.items())
    counts.doubled = len(rows) - len({(row[1], row[2], row[4]) for row in rows})


def _wait_for_papers(site: Site) -> None:
    """Until all have come to an end, however busy the machine is; one that nobody works on is none."""
    before, since = -1, time.monotonic()
    while left := PrintJob.objects.filter(pk__in=site.jobs, state__in=OPEN).count():
        if left != before:
            before, since = left, time.monotonic()
        if time.monotonic() - since > PATIENCE:
            return
        time.sleep(0.2)


@contextlib.contextmanager
def _others_stand_still(workers: list[Process], worker: Process) -> Iterator[None]:
    others = [other for other in workers if other is not worker]
    for other in others:
        os.kill(other.process.pid, signal.SIGSTOP)
    try:
        yield
    finally:
        for other in others:
            os.kill(other.process.pid, signal.SIGCONT)


def _not_fetched_from_both(site: Site) -> list[int]:
    papers = []
    for server in site.servers:
        browser = Browser()
        browser.send(server, "sign-in/", name="sue", password=PASSWORD)
        address = f"contests/{site.contest.pk}/prints/files/"
        papers.append([browser.get(server, f"{address}{job}/")[1] for job in site.jobs])
    both = zip(site.jobs, *papers, strict=True)
    return [job for job, one, other in both if one != other or not one.startswith("%PDF-")]
