"""What stands on pages, in files and in a static copy is what an independent scorer made of the same books."""

import csv
import io
import re
import zipfile
from fractions import Fraction
from functools import cache
from html import unescape
from pathlib import Path

import pytest
from django.test import Client
from openpyxl import load_workbook

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import Contest
from contest.records import save_record
from scoring.core.explain import list_names
from scoring.core.points import written
from scoring.results.publishing import publish
from tests.scoring.core.slow_scorer import slow_tally
from tests.scoring.results.cast import release

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ["1", "3", "8", "demo"]


class Expected:
    """A book, and its results by (division, list): from files of another scorer, or for the demo from the slow one."""

    def __init__(self, name):
        self.record = read_book(DEMO_BOOK if name == "demo" else EXAMPLES / f"book-{name}")
        self.individuals, self.teams, self.scores = {}, {}, {}
        if name == "demo":
            slow = slow_tally(self.record)
            for division, code, rank, number, team, total, _tie in slow.individuals:
                self.individuals.setdefault((division, code), []).append((str(rank), str(number), team, written(total)))
            for division, code, rank, team, total, counting, _tie in slow.teams:
                row = str(rank), team, written(total), ", ".join(map(str, counting))
                self.teams.setdefault((division, code), []).append(row)
            self.scores = {(str(number), item): written(points) for (number, item), points in slow.scores.items()}
            return
        for row in rows_of(name, "individuals"):
            line = row["rank"], row["number"], row["team"], row["total"]
            self.individuals.setdefault((row["division"], row["list"]), []).append(line)
        for row in rows_of(name, "teams"):
            line = row["rank"], row["team"], row["total"], row["counting"].replace(" ", ", ")
            self.teams.setdefault((row["division"], row["list"]), []).append(line)
        self.scores = {(row["number"], row["item"]): row["score"] for row in rows_of(name, "scores")}

    @property
    def lists(self):
        return sorted({*self.individuals, *self.teams})


def rows_of(name, file):
    with (EXAMPLES / f"results-{name}" / f"{file}.csv").open(encoding="utf-8", newline="") as lines:
        yield from csv.DictReader(lines)


expected_of = cache(Expected)


@pytest.fixture(params=NAMES)
def expected(request):
    return expected_of(request.param)


@pytest.fixture
def contest(expected):
    return save_record(expected.record, by="test")


SHEETS = {}


@pytest.fixture
def sheets(superintendent, contest, expected):
    """The page of every contestant, by number; those of a book are asked for once."""
    if expected not in SHEETS:
        start = f"/contests/{contest.pk}/standings/contestants/"
        numbers = sorted({number for number, _ in expected.scores}, key=int)
        SHEETS[expected] = {number: superintendent.get(f"{start}{number}/").content.decode() for number in numbers}
    return SHEETS[expected]


OTHERS = re.compile(r'<span class="others">.*?</span>', re.DOTALL)


def table(page, kind):
    """The rows of a page's table of individuals or teams, each cell as text by its column."""
    found = re.search(rf'<table class="rows {kind}"[^>]*>.*?<tbody>(.*?)</tbody>', page, re.DOTALL)
    return [_cells(row) for row in re.findall(r"<tr\s*>(.*?)</tr>", found[1], re.DOTALL)] if found else []


def _cells(row):
    cells = re.findall(r'<t[dh](?: scope="row")? class="(\w+)[^"]*">(.*?)</t[dh]>', row, re.DOTALL)
    return {name: plain(OTHERS.sub("", cell)) for name, cell in cells}


def plain(html):
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", html)).replace("−", "-").split())


def assert_shows(page, expected, key):
    individuals = [(r["rank"], r["no"], r.get("team", ""), r["total"]) for r in table(page, "individuals")]
    teams = [(r["rank"], r["team"], r["total"], r["counting"]) for r in table(page, "teams")]
    assert individuals == expected.individuals.get(key, [])
    assert teams == expected.teams.get(key, [])


def test_every_list_in_the_browser(superintendent, contest, expected):
    for division, code in expected.lists:
        page = superintendent.get(f"/contests/{contest.pk}/standings/{division}/{code}/").content.decode()
        assert_shows(page, expected, (division, code))


def test_every_score_of_every_contestant(sheets, expected):
    shown = {}
    for number, page in sheets.items():
        for anchor, row in re.findall(r'<tr id="([^"]+)">(.*?)</tr>', page, re.DOTALL):
            cell = re.search(r'<td class="figure score[^"]*">(.*?)</td>', row, re.DOTALL)[1]
            score = plain(cell).partition(" of ")[0]
            if score != "–":  # waits for its key, or is void
                shown[number, anchor.partition("-")[2].replace("-", ":", 1)] = score
    assert shown == expected.scores


def test_every_pair_lost_adds_up_to_the_score(sheets):
    for number, page in sheets.items():
        for row in re.findall(rf'<tr id="{number}-class-\d+">(.*?)</tr>', page, re.DOTALL):
            told = plain(row)
            if "unplaced" in row or "–" in told or "below 0" in told:
                continue
            score, perfect = re.search(r"(-?\d+) of (\d+)$", told).groups()
            lost = sum(int(points) for points in re.findall(r"\d over \d was \d over \d: (-?\d+)", told))
            assert int(perfect) + lost == int(score), told


def test_the_released_lists_and_their_static_copy(contest, expected, tmp_path):
    release(contest)
    client, folder = Client(), tmp_path / "site"
    publish(Contest.objects.get(pk=contest.pk), folder)
    copies = {}
    for page in map(Path.read_text, folder.glob("list-*.html")):
        links = re.findall(r'<a href="[^"]*"\s+aria-current="(?:true|page)"\s*>\s*<bdi>(.*?)</bdi>', page)
        copies[tuple(map(unescape, links))] = page
    divisions = {division.code: division.name for division in expected.record.divisions}
    titles = list_names(expected.record)
    for division, code in expected.lists:
        assert_shows(
            client.get(f"/results/{contest.pk}/{division}/{code}/").content.decode(), expected, (division, code)
        )
        assert_shows(copies[divisions[division], titles[code]], expected, (division, code))
    assert len(copies) == len(expected.lists)


def test_the_files(superintendent, contest, expected):
    start = f"/contests/{contest.pk}/results/results."
    with zipfile.ZipFile(io.BytesIO(superintendent.get(f"{start}zip").content)) as archive:
        individuals = list(csv.DictReader(io.StringIO(archive.read("individuals.csv").decode())))
        scores = list(csv.DictReader(io.StringIO(archive.read("scores.csv").decode())))
    found = {}
    for row in individuals:
        line = row["rank"], row["number"], row["team"], row["total"]
        found.setdefault((row["division"], row["list"]), []).append(line)
    assert found == expected.individuals
    assert {(row["number"], row["item"]): row["score"] for row in scores} == expected.scores

    book = load_workbook(io.BytesIO(superintendent.get(f"{start}xlsx").content))
    titles = list_names(expected.record)
    for (division, code), lines in expected.individuals.items():
        _head, *rows = book[f"{division} {titles[code]}"].values
        assert [(str(r[0]), str(r[1]), r[3] or "", text(r[4])) for r in rows] == lines
    for (division, code), lines in expected.teams.items():
        _head, *rows = book[f"{division} {titles[code]} teams"].values
        assert [(str(r[0]), r[1], text(r[2]), r[3]) for r in rows] == lines


def text(number):
    assert isinstance(number, (int, float))
    return written(Fraction(str(number)))
