"""The server killed, or the power gone, while a process of its own reads cards: afterwards each is read, and once."""

import http.client
import random
import sqlite3
import subprocess
import sys
from contextlib import closing
from uuid import uuid4

from tests.faults.hall import CHECKOUT, CSRF, a_hall, environment, free_port
from tests.faults.power import damage, end_of
from tests.waiting import eventually

SCANNING = """
import random, sys
import django
django.setup()
from PIL import Image
from contest.models import Contest
from contest.scanning.reader.finding import cards_on
from contest.scanning.rules import change_rules
from contest.scanning.whose import secret_of
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.prints.gathering import gather_material
from scoring.prints.rendering import html_of, render_pdf
from tests.contest.scanning.pens import Drawn, Hand, cut, filled, rasterised

contest = Contest.objects.get()
change_rules(contest, "Sue", on=True)
people = list(contest.contestants.values_list("number", flat=True)[: int(sys.argv[2])])
document = DOCUMENTS["placing-cards"]
html, *_ = html_of(document, gather_material(contest.pk, document), Choice(paper="a4", numbers=tuple(people)))
cards = []
for piece in cut(rasterised(render_pdf(html))):
    for found in list(cards_on(piece, secret_of(contest)))[:1]:
        hand = Hand(random.Random(len(cards)), "gel", "cross", steady=0.3)
        card = filled(Drawn(piece, found.whose, "1234"), hand).picture
        cards.append(card.resize((card.width * 2 // 3, card.height * 2 // 3), Image.Resampling.BOX))
cards[0].save(sys.argv[1], "PDF", save_all=True, append_images=cards[1:], resolution=200)
print(len(cards))
"""

ALONE = """
SELECT count(*), count(DISTINCT judging_class_id || '-' || number) FROM contest_reading WHERE source = 'scanner'
"""


def asked(hall, method, address, body=b"", content="text/plain"):
    connection = http.client.HTTPConnection("127.0.0.1", hall.port, timeout=60)
    cookie = f"{hall.cookies['Helper 1']}; csrftoken={CSRF}"
    headers = {"Cookie": cookie, "X-CSRFToken": CSRF, "Content-Type": content, "Accept": "text/html"}
    with closing(connection):
        connection.request(method, f"/contests/{hall.contest}/scanning/{address}", body, headers)
        answer = connection.getresponse()
        answer.read()
        return answer.status


def form_of(pages):
    """A form with a file, as a browser sends it, and what it says that it is."""
    parts = [b'"submission"\r\n\r\n' + str(uuid4()).encode(), b'"pages"; filename="pages.pdf"\r\n\r\n' + pages]
    body = b"".join(b"--pages\r\nContent-Disposition: form-data; name=" + part + b"\r\n" for part in parts)
    return body + b"--pages--\r\n", "multipart/form-data; boundary=pages"


def told(hall, query):
    with closing(sqlite3.connect(hall.database, timeout=60)) as database:
        return database.execute(query).fetchall()


def pages_for(hall, pdf, people=4):
    """Have the contest read cards by scanner, and write a scanner's pages of so many people's cards, one each; how
    many."""
    made = subprocess.run(
        [sys.executable, "-c", SCANNING, str(pdf), str(people)],
        cwd=CHECKOUT,
        env=environment(hall.folder),
        capture_output=True,
        text=True,
    )
    assert made.returncode == 0, made.stderr
    return int(made.stdout)


def test_each_card_is_read_once_however_often_the_server_is_killed(tmp_path):
    with a_hall(tmp_path / "data", free_port(), contestants=12, helpers=1) as hall:
        cards = pages_for(hall, pdf := tmp_path / "pages.pdf")
        hall.start()
        assert asked(hall, "POST", "bring/", *form_of(pdf.read_bytes())) == 302
        for page in (3, 8, 13):
            eventually(lambda page=page: told(hall, "SELECT page FROM contest_scan")[0][0] >= page)
            hall.kill()
            assert told(hall, "SELECT state FROM contest_scan") == [("reading",)]
            hall.start()
            assert asked(hall, "GET", "") == 200
        each_is_read_once(hall, cards)


def test_pages_that_a_power_cut_took_are_read_again(tmp_path):
    """Of the log nothing is left but what was on the disk when the pages were brought."""
    with a_hall(tmp_path / "data", free_port(), contestants=12, helpers=1) as hall:
        cards = pages_for(hall, pdf := tmp_path / "pages.pdf", people=1)
        hall.start()
        assert asked(hall, "POST", "bring/", *form_of(pdf.read_bytes())) == 302
        log = hall.folder / "db.sqlite3-wal"
        flushed, written = end_of(log), hall.database.stat().st_mtime_ns
        eventually(lambda: told(hall, "SELECT page FROM contest_scan")[0][0] >= 1)
        hall.kill()
        assert hall.database.stat().st_mtime_ns == written, "the log was written back: the cut would be none"
        assert damage(log, flushed, "dropped", random.Random(1)) > 0
        assert told(hall, "SELECT page FROM contest_scan") == [(0,)]
        hall.start()
        assert asked(hall, "GET", "") == 200
        each_is_read_once(hall, cards)


def each_is_read_once(hall, cards):
    eventually(lambda: told(hall, "SELECT state FROM contest_scan") == [("done",)])
    assert told(hall, "SELECT count(*), count(DISTINCT page) FROM contest_scannedcard") == [(cards, cards)]
    assert told(hall, ALONE) == [(cards, cards)]
    assert told(hall, "SELECT count(*) FROM contest_trailentry WHERE what = 'scan_page_read'") == [(cards,)]
