"""What turning pages costs those who read cards: python -m tests.bench.bench_turning

Puts to the real server, with a full contest of 1 500 contestants in it, twelve helpers who post readings at people's
pace, with and without three superintendents who turn pages without rest, each page as soon as the last one is there.

Target: p95 of a reading at most 3 times that without.
"""

import argparse
import asyncio
import itertools
import os
import random
import time
from dataclasses import dataclass, field

from tests.bench.full_contest import make_full_contest
from tests.bench.hall import HELPERS, PACE, Browser, Hall, Reader, cpu_seconds, p

TURNERS = 3
ROUNDS = 3
UNREAD = 6  # classes whose cards are still to be read
PAGES = (
    "",
    "watch/doubts/",
    "watch/doubts/?page=3",
    "watch/progress/",
    "watch/progress/1/",
    "standings/",
    "standings/JR/placing/",
    "results/",
    "entries/",
    "entries/check-in/missing/",
    "helpers/",
    "prints/",
    "reasons/timetable/",
    "scores/reasons/1/",
    "announcer/names/",
    "classes/1/",
)


@dataclass
class Span:
    readings: list[float] = field(default_factory=list)
    pages: list[float] = field(default_factory=list)
    cpu: float = 0.0
    seconds: float = 0.0


class TurnedHall(Hall):
    """A hall with a full contest, and those who look at all of it."""

    def __init__(self, contestants: int):
        super().__init__(viewers=0)
        self.contestants = contestants

    def _make_contest(self) -> None:
        from contest.helpers.joining import let_in
        from contest.models import Duty

        self.contest = make_full_contest(self.contestants, released=False, unread=UNREAD)
        classes = self.contest.classes.values_list("number", flat=True).order_by("number")[12 - UNREAD :]
        numbers = self.contest.contestants.filter(present=True, division__code="JR").values_list("number", flat=True)
        cards = [(judged, number) for judged in classes for number in numbers]
        self.readers = []
        for position in range(1, HELPERS + 1):
            name, mine = f"Reader {position}", random.sample(cards, len(cards))
            browser = self._browser(let_in(self.contest, Duty.TABULATOR, name))
            self.readers.append(Reader(browser, name, f"/contests/{self.contest.pk}/desk/readings/", mine))
        self.turners = [self.sign_in() for _ in range(TURNERS)]


async def turn(hall: TurnedHall, browser: Browser, until: float, first: int) -> list[float]:
    times = []
    for page in itertools.islice(itertools.cycle(PAGES), first, None):
        if time.monotonic() >= until:
            return times
        began = time.monotonic()
        answer = await browser.ask(f"/contests/{hall.contest.pk}/{page}")
        times.append(time.monotonic() - began)
        if answer.status != 200:
            raise RuntimeError(f"{page} was answered {answer.status}")
    return times


async def measure(hall: TurnedHall, seconds: float, turning: bool, span: Span) -> None:
    for reader in hall.readers:
        reader.times.clear()
    before, began = cpu_seconds(hall.server.pid), time.monotonic()
    until = began + seconds
    work = [turn(hall, one, until, 5 * place) for place, one in enumerate(hall.turners)] if turning else []
    times, _ = await asyncio.gather(
        asyncio.gather(*work), asyncio.gather(*(reader.read_on(until, PACE) for reader in hall.readers))
    )
    span.pages += itertools.chain(*times)
    span.readings += [moment for reader in hall.readers for moment in reader.times]
    span.cpu += cpu_seconds(hall.server.pid) - before
    span.seconds += time.monotonic() - began


async def compare(hall: TurnedHall, seconds: float) -> tuple[Span, Span]:
    """Turn and turn about, so that whatever else the machine does troubles both alike."""
    alone, turned = Span(), Span()
    await measure(hall, 3, True, Span())  # warms everything up
    for _ in range(ROUNDS):
        await measure(hall, seconds / ROUNDS, False, alone)
        await measure(hall, seconds / ROUNDS, True, turned)
    return alone, turned


def tell(what: str, span: Span) -> None:
    figures = ", ".join(f"p{part} {p(span.readings, part / 100):.1f} ms" for part in (50, 95, 99))
    cpu = span.cpu / span.seconds * 100
    print(f"{what:<16}{figures}; {len(span.readings)} readings, server at {cpu:.0f} % of a core")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--contestants", type=int, default=1500)
    parser.add_argument("--seconds", type=float, default=45)
    options = parser.parse_args()
    random.seed(1)
    hall = TurnedHall(options.contestants)
    try:
        hall.open()
        load = os.getloadavg()[0]
        print(f"{HELPERS} helpers, a card in {PACE:g} s each, {options.contestants} contestants, load {load:.1f}")
        alone, turned = asyncio.run(compare(hall, options.seconds))
        tell("alone", alone)
        tell(f"{TURNERS} turn pages", turned)
        print(f"{len(turned.pages)} pages, p50 {p(turned.pages, 0.5):.0f} ms, p95 {p(turned.pages, 0.95):.0f} ms")
        print(f"p95 ratio {p(turned.readings, 0.95) / p(alone.readings, 0.95):.2f}  (target: at most 3)")
    finally:
        hall.close()


if __name__ == "__main__":
    main()
