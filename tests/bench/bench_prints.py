"""What printing costs: python -m tests.bench.bench_prints

First the two longest documents, each made in a process of its own from the database to the file, against WeasyPrint
alone on a bare page of the same text. Then readings at the desks while long documents are printed beside the server.

Targets: at most 1.5 times WeasyPrint alone; p95 of a reading at most 1.2 times that without printing.
"""

import argparse
import asyncio
import json
import os
import random
import re
import resource
import subprocess
import sys
import tempfile
from html import escape
from pathlib import Path
from uuid import uuid4

from tests.bench.bench_viewers import ROUNDS, Span, run
from tests.bench.hall import CHECKOUT, PACE, Hall, p
from tests.bench.large_contest import large_record

ROWS = 1500
SHEETS = 300
TRIES = 3

ALONE = "import sys; from weasyprint import HTML; HTML(string=open(sys.argv[1]).read()).write_pdf(sys.argv[2])"
BARE_LIST = (
    "@page { size: A4; margin: 19mm 15mm 17mm } body { font-size: 10pt } "
    "table { table-layout: fixed; width: 100%; border-spacing: 0 } tr:nth-child(even) { background: #eee }"
)
BARE_SHEET = (
    "@page { size: A4 landscape; margin: 20mm } section { break-after: page; text-align: center; font-size: 20pt } "
)


def processor_time(command, given="") -> float:
    """Seconds of processor time that a process took, the best of a few tries. Its input stays open until it ends."""
    best = float("inf")
    for _ in range(TRIES):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        pipe = subprocess.PIPE
        with subprocess.Popen(command, stdin=pipe, stdout=pipe, text=True, cwd=CHECKOUT) as process:
            process.stdin.write(given + "\n")
            process.stdin.flush()
            process.stdout.read()
        if process.returncode:
            raise RuntimeError(f"{command} ended with {process.returncode}")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return best


def documents(folder: Path) -> None:
    os.environ |= {"TANBARK_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "contest.settings"}
    import django

    django.setup()
    from dataclasses import replace

    from django.core.management import call_command

    from contest.records import save_record

    call_command("migrate", verbosity=0)
    record = large_record(ROWS)
    people = tuple(person._replace(division="JR") for person in record.contestants)
    contest = save_record(replace(record, contestants=people), by="bench")
    lists = {"lists": ["JR/overall"], "kinds": ["individuals"]}
    compare(folder, contest, "results", lists, bare_list, f"results, {ROWS} rows")
    compare(folder, contest, "award-sheets", lists | {"places": SHEETS}, bare_sheets, f"{SHEETS} award sheets")


def compare(folder: Path, contest, document: str, choice: dict, bare, what: str) -> None:
    from django.conf import settings

    from scoring.prints.catalogue import DOCUMENTS
    from scoring.prints.choice import choice_from
    from scoring.prints.gathering import gather_material
    from scoring.prints.rendering import html_of

    html = html_of(DOCUMENTS[document], gather_material(contest.pk, DOCUMENTS[document]), choice_from(choice)).html
    (folder / "bare.html").write_text(bare(html), encoding="utf-8")
    floor = processor_time([sys.executable, "-c", ALONE, str(folder / "bare.html"), str(folder / "bare.pdf")])
    order = {
        "contest": contest.pk,
        "document": document,
        "choice": choice,
        "out": str(folder / "made.pdf"),
        "database": str(settings.DATABASES["default"]["NAME"]),
        "data_folder": str(folder),
    }
    taken = processor_time([sys.executable, "-m", "scoring.prints.child"], json.dumps(order))
    pages = pages_of(folder / "made.pdf"), pages_of(folder / "bare.pdf")
    print(
        f"{what}: {taken:.1f} s, {pages[0]} pages; WeasyPrint alone: {floor:.1f} s, {pages[1]} pages; "
        f"ratio {taken / floor:.2f}  (target: at most 1.5)"
    )


def pages_of(path: Path) -> int:
    import pdfplumber

    with pdfplumber.open(path) as pdf:
        return len(pdf.pages)


def bare_list(html: str) -> str:
    rows = re.findall(r"<tr>.*?</tr>", html, re.DOTALL)
    cells = [re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row, re.DOTALL) for row in rows]
    head, *body = ["".join(f"<td>{escape(text_of(cell))}" for cell in row) for row in cells]
    lines = "".join(f"<tr>{row}" for row in body)
    return f"<html lang=en><title>x</title><style>{BARE_LIST}</style><table><thead><tr>{head}<tbody>{lines}</table>"


def bare_sheets(html: str) -> str:
    sheets = [
        "".join(f"<p>{escape(text_of(line))}" for line in re.findall(r"<(?:p|h1)\b[^>]*>(.*?)</(?:p|h1)>", sheet, re.S))
        for sheet in html.split("<section")[1:]
    ]
    made = "".join(f"<section>{sheet}</section>" for sheet in sheets)
    return f"<html lang=en><title>x</title><style>{BARE_SHEET}</style>{made}"


def text_of(markup: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", markup).split())


class PrintingHall(Hall):
    """A hall whose superintendent prints."""

    def __init__(self):
        super().__init__(viewers=0)

    def _make_contest(self) -> None:
        super()._make_contest()
        self.superintendent = self.sign_in()

    async def print(self, *documents: str) -> None:
        chosen = "&".join(f"documents={document}" for document in documents)
        body = f"submission={uuid4()}&paper=a4&copies=1&{chosen}".encode()
        answer = await self.superintendent.ask(
            f"/contests/{self.contest.pk}/prints/", body, "application/x-www-form-urlencoded"
        )
        if answer.status != 302:
            raise RuntimeError(f"an order was answered {answer.status}")

    async def stop_printing(self) -> None:
        """Cancels what is under way. There must be something, or nothing was measured."""
        page = await self.superintendent.ask(f"/contests/{self.contest.pk}/prints/")
        found = re.findall(r'action="(\S+/cancel/)"', page.body.decode())
        if not found:
            raise RuntimeError("the printing was over before the readings were")
        for address in found:
            await self.superintendent.ask(
                address, f"submission={uuid4()}".encode(), "application/x-www-form-urlencoded"
            )


async def beside(hall: PrintingHall, seconds: float, pace: float) -> None:
    alone, printing = Span(), Span()
    for _ in range(ROUNDS):
        alone += await run(hall, seconds / ROUNDS, pace, viewers=False)
        await hall.print("placing-cards", "packets")
        await asyncio.sleep(1)
        printing += await run(hall, seconds / ROUNDS, pace, viewers=False)
        await hall.stop_printing()
    for name, span in (("alone", alone), ("while printing", printing)):
        figures = ", ".join(f"p{part} {p(span.readings, part / 100):.1f} ms" for part in (50, 95, 99))
        print(f"  {name:<16}{figures}; {len(span.readings)} readings")
    print(f"  p95 ratio       {p(printing.readings, 0.95) / p(alone.readings, 0.95):.2f}  (target: at most 1.2)")


def serving(seconds: float) -> None:
    random.seed(1)
    hall = PrintingHall()
    try:
        hall.open()
        print(f"readings beside long documents, load {os.getloadavg()[0]:.1f}, {os.cpu_count()} cores")
        asyncio.run(measured(hall, seconds))
    finally:
        hall.close()


async def measured(hall: PrintingHall, seconds: float) -> None:
    await run(hall, 3, PACE, viewers=False)  # warms everything up
    await beside(hall, seconds, PACE)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=40)
    parser.add_argument("--only", choices=["documents", "serving"])
    options = parser.parse_args()
    if options.only == "serving":
        serving(options.seconds)
        return
    with tempfile.TemporaryDirectory() as folder:
        documents(Path(folder))
    if not options.only:
        # The settings are read once in a process.
        subprocess.run(
            [sys.executable, "-m", "tests.bench.bench_prints", "--only=serving", f"--seconds={options.seconds}"],
            cwd=CHECKOUT,
            check=True,
        )


if __name__ == "__main__":
    main()
