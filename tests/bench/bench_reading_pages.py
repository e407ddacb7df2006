"""What pages read by scanner cost those who read cards: nice python -m tests.bench.bench_reading_pages

Puts to the real server twelve helpers who post readings at people's pace, with and without a PDF of placing cards that
is read meanwhile; then measures in this process how long what was found on a page holds the write turn.

Targets: p95 of a reading beside the pages at most 1.3 times that without; no hold of the turn longer than 0.2 s.
"""

import argparse
import asyncio
import io
import os
import random
import re
from itertools import islice
from uuid import uuid4

from tests.bench.bench_uploads import BOUNDARY, holds_of, read, reading, tell_hold
from tests.bench.hall import HELPERS, PACE, Browser, Hall, p

A_PAGE = 4
PICTURE = 20_000
"""Bytes of a card's picture, as the README says."""


def pages_of_cards(hall: Hall, people: list[int], seed: str) -> bytes:
    """The contest's own cards of so many people, for all classes, marked by hands: a scanner's PDF at 200 dots."""
    from PIL import Image

    from contest.records import load_record
    from contest.scanning.reader.finding import cards_on
    from contest.scanning.whose import secret_of, year_of
    from scoring.prints.catalogue import DOCUMENTS
    from scoring.prints.choice import Choice
    from scoring.prints.fields import CardCodes
    from scoring.prints.rendering import html_of, render_pdf
    from tests.contest.scanning.pens import Drawn, Hand, cut, filled, rasterised
    from tests.scoring.prints.papers import material_of

    secret = secret_of(hall.contest)
    codes = CardCodes(hall.contest.pk, year_of(hall.contest), secret)
    _revision, record = load_record(hall.contest.pk)
    material = material_of(record, card_codes=codes)
    html, *_ = html_of(DOCUMENTS["placing-cards"], material, Choice(paper="a4", numbers=tuple(people)))
    sheets = []
    for at, page in enumerate(rasterised(render_pdf(html))):
        for place, piece in enumerate(cut([page])):
            found = cards_on(piece, secret)
            if found:  # the last sheet has empty places
                card = filled(Drawn(piece, found[0].whose, "1234"), Hand(random.Random(f"{seed} {at} {place}"), "gel"))
                page.paste(card.picture, (place % 2 * (page.width // 2), place // 2 * (page.height // 2)))
        sheets.append(page.resize((page.width * 2 // 3, page.height * 2 // 3), Image.Resampling.BOX))
    pdf = io.BytesIO()
    sheets[0].save(pdf, "PDF", save_all=True, append_images=sheets[1:], resolution=200)
    return pdf.getvalue()


async def bring(hall: Hall, browser: Browser, pdf: bytes) -> None:
    """Bring the pages, and look how far they are, as the page does, until they are read."""
    fields = {"submission": str(uuid4()).encode(), 'pages"; filename="pages.pdf': pdf}
    parts = (
        f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n'.encode() + value + b"\r\n"
        for name, value in fields.items()
    )
    body = b"".join(parts) + f"--{BOUNDARY}--\r\n".encode()
    address = f"/contests/{hall.contest.pk}/scanning/"
    answer = await browser.ask(f"{address}bring/", body, f"multipart/form-data; boundary={BOUNDARY}")
    if answer.status != 302:
        raise RuntimeError(f"the pages were answered {answer.status}: {answer.body[-2000:]!r}")
    version = "none"
    while await asyncio.to_thread(is_under_way, hall):
        answer = await browser.ask(f"{address}?v={version}", htmx=True)
        if found := re.search(rb"\?v=(\w+)", answer.body):
            version = found.group(1).decode()
        await asyncio.sleep(1)


def is_under_way(hall: Hall) -> bool:
    from django.db import connections

    from contest.models import Scan

    try:
        latest = Scan.objects.filter(contest=hall.contest).latest("pk")
    finally:
        connections.close_all()
    if latest.state == Scan.State.FAILED:
        raise RuntimeError(f"page {latest.page + 1} stopped: {latest.trouble}")
    return latest.state != Scan.State.DONE


async def compare(hall: Hall, browser: Browser, pdfs: list[bytes], seconds: float):
    """Turn and turn about, so that whatever else the machine does troubles both alike."""
    alone, beside = [], []
    await read(hall, 3)  # warms everything up
    for pdf in pdfs:
        alone += await read(hall, seconds)
        beside += await reading(hall, bring(hall, browser, pdf))
    return alone, beside


def measure_holds(hall: Hall, pages: int) -> None:
    """Pages of cards that are all certain: each becomes a reading, which is the most that is done of one."""
    from contest.models import Scan
    from contest.records import load_record
    from contest.scanning.taking import MOST_CARDS, Seen, take_page
    from contest.scanning.whose import identity_of

    _revision, record = load_record(hall.contest.pk)
    numbers = [person.number for person in record.contestants]
    cards = iter([(judged.number, number) for judged in record.classes for number in numbers[-len(numbers) // 2 :]])

    def page(count: int) -> list[Seen]:
        whose = [identity_of(hall.contest, *card) for card in islice(cards, count)]
        return [Seen(one, "", "3124", True, 0.9, (), os.urandom(PICTURE)) for one in whose]

    for count in (A_PAGE, MOST_CARDS):
        scan = Scan.objects.create(
            contest=hall.contest, digest=f"{count:064}", state=Scan.State.READING, by="bench", pages=pages
        )
        holds = []
        for at in range(1, pages + 1):
            found = page(count)
            holds += holds_of(lambda at=at, scan=scan, found=found: take_page(scan, at, found))
        tell_hold(f"a page of {count} cards", holds)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=16, help="whose cards are on the pages of a round, all classes")
    parser.add_argument("--seconds", type=float, default=20)
    parser.add_argument("--rounds", type=int, default=2)
    options = parser.parse_args()
    random.seed(1)
    hall = Hall(viewers=0)
    try:
        hall.open()
        from contest.models import ScannedCard
        from contest.scanning.rules import change_rules

        change_rules(hall.contest, "bench", on=True)
        numbers = sorted(hall.contest.contestants.values_list("number", flat=True))
        groups = [numbers[at * options.people : (at + 1) * options.people] for at in range(options.rounds)]
        pdfs = [pages_of_cards(hall, group, str(at)) for at, group in enumerate(groups)]
        print(f"{HELPERS} helpers, a card in {PACE:g} s each, load {os.getloadavg()[0]:.1f}")
        alone, beside = asyncio.run(compare(hall, hall.sign_in(), pdfs, options.seconds))
        for what, times in (("alone", alone), ("beside the pages", beside)):
            figures = ", ".join(f"p{part} {p(times, part / 100):.1f} ms" for part in (50, 95, 99))
            print(f"{what:<20}{figures}, longest {max(times) * 1000:.0f} ms; {len(times)} readings")
        became = ScannedCard.objects.filter(scan__contest=hall.contest)
        alone_read = became.filter(became=ScannedCard.Became.READING).count()
        print(
            f"{became.count()} cards on {sum(map(len, pdfs)) / 1e6:.1f} MB of pages, {alone_read} read by the scanner"
        )
        print(f"p95 ratio {p(beside, 0.95) / p(alone, 0.95):.2f}  (target: at most 1.3)")
        measure_holds(hall, 10)
    finally:
        hall.close()


if __name__ == "__main__":
    main()
