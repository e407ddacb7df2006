"""Whatever is brought, a sentence comes of it within its limits, and everybody else goes on."""

from itertools import pairwise

import pytest

from contest.models import BroughtFile
from contest.uploads.files import PROBLEMS, problems_of
from tests.contest.uploads.cast import (
    MAIN,
    READ,
    SHEET,
    bring,
    demo_files,
    files_there,
    limited,
    read_by,
    sheet,
    spreadsheet,
    svg,
    zipped,
)
from tests.waiting import eventually

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.any_database]

USES = "".join(f'<g id="a{n}">' + f'<use href="#a{n - 1}"/>' * 10 + "</g>" for n in range(1, 12))
LAUGHS = "".join(f'<!ENTITY {name} "' + f"&{before};" * 10 + '">' for before, name in pairwise("abcdefghi"))
ENTITIES = f'<!DOCTYPE x [<!ENTITY a "ha">{LAUGHS}]>'


DONE, FAILED = BroughtFile.State.DONE, BroughtFile.State.FAILED


def nothing_left_over():
    """Whoever worked on a file lets go of it just after saying what became of it."""
    return not [path for path in files_there() if path.suffix != PROBLEMS]


@pytest.mark.parametrize(
    ("kind", "data", "why"),
    [
        ("picture", svg("<g>" * 50_000 + "</g>" * 50_000), "nested more than 100 deep"),
        ("picture", svg('<g id="a"><use href="#b"/></g>') + b"<", "damaged"),
        ("picture", b"GIF89a", "no PNG, JPEG or SVG"),
        (
            "list",
            spreadsheet(**{SHEET: sheet("<row r='1'><c t='inlineStr'><is><t>&i;</t></is></c></row>", ENTITIES)}),
            "damaged",
        ),
        (
            "list",
            spreadsheet(**{"xl/styles.xml": ENTITIES + f'<styleSheet xmlns="{MAIN}">&i;</styleSheet>'}),
            "damaged",
        ),
        ("list", spreadsheet()[:2000], "damaged"),
        ("list", b"\xd0\xcf\x11\xe0 an old one", "old spreadsheet"),
        ("list", b"PK\3\4" + b"x" * 100, "damaged"),
        ("list", b"\0\1\2\3", "neither text nor a spreadsheet"),
        ("list", b'a,b\n1,"' + b"x" * 1_000_000, "characters; 800,000 is the most"),
    ],
)
def test_it_is_refused_in_words(kind, data, why):
    made = bring(kind, data)
    if kind == "list" and made.state == DONE:  # text is looked at by the page, which is quick
        made.trouble = refusal_of(made)
    assert why in made.said_trouble
    eventually(nothing_left_over)


def refusal_of(made):
    from contest.uploads.spreadsheets import Unreadable, lines_of

    with pytest.raises(Unreadable) as refused:
        lines_of(dict(READ[made.key])[""])
    return str(refused.value)


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (zipped({"contest.toml": b"0" * 2_000_000}), "2,000,000 bytes; 1,000,000 is the most"),
        (zipped({"contest.toml": b"", "cards.csv": b"0" * 70_000_000}), "unpacks to more than 64 MB"),
        (zipped({"contest.toml": "a = " + "[" * 300_000}), "brackets too deep"),
        (zipped(demo_files())[:4000], "zip that can be read"),
        (b"no zip at all", "zip that can be read"),
    ],
)
def test_a_book_is_refused_with_its_problems(data, why):
    made = bring("book", data, "fair.zip")
    assert made.trouble == "Nothing was saved: the book has problems."
    assert any(why in problem.reason for problem in problems_of(made))
    eventually(nothing_left_over)


@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("picture", svg(f'<defs><g id="a0"><rect width="1" height="1"/></g>{USES}</defs><use href="#a11"/>')),
        ("book", zipped({"contest.toml": "a" + ".a" * 400_000 + " = 1"})),
        ("list", spreadsheet(**{SHEET: sheet("".join(f'<row r="{row}"/>' for row in range(1, 900_000)))})),
    ],
    ids=["drawing", "book", "list"],
)
def test_what_takes_too_long_is_stopped(monkeypatch, kind, data):
    limited(monkeypatch, kind, seconds=1)
    made = bring(kind, data)
    assert made.state == FAILED
    assert "more than 1 seconds of the processor" in made.trouble
    assert "Save" in made.trouble or "zip it again" in made.trouble
    eventually(nothing_left_over)


def test_what_needs_too_much_memory_is_stopped(monkeypatch):
    limited(monkeypatch, "book", memory=150_000_000)
    rows = b"class,number,placing\n" + b"1,101,3124\n" * 5_000_000
    made = bring("book", zipped({**demo_files(), "cards.csv": rows}))
    assert "more than 150 MB of memory" in made.trouble


def test_what_comes_to_too_much_is_stopped(monkeypatch):
    limited(monkeypatch, "book", written=2000)
    made = bring("book", zipped(demo_files()))
    assert made.state == FAILED
    assert "more than 0 MB" in made.trouble


@pytest.mark.parametrize(
    ("script", "why"),
    [
        ("import time; time.sleep(600)", "seconds of the processor"),
        ("while True: print('x' * 100_000)", "seconds of the processor"),
        ("import os; os.abort()", "stopped whatever tried to read it"),
        ("import sys; sys.exit(1)", "stopped whatever tried to read it"),
        ("print('[nonsense')\nimport sys; sys.exit(3)", "stopped whatever tried to read it"),
    ],
)
def test_a_reader_that_misbehaves_is_ended(monkeypatch, script, why):
    limited(monkeypatch, "list", seconds=0.2)
    (started := read_by(monkeypatch, script))
    made = bring("list", b"a,b")
    assert why in made.trouble
    assert started[0].poll() is not None
    eventually(nothing_left_over)


def read(kind, data):
    return READ[bring(kind, data).key]


def test_a_sound_file_comes_through():
    assert read("list", b"number,name\n1,Ann\n") == [["", "number,name\n1,Ann\n"]]
    outline, *rows = read("book", zipped(demo_files()))
    assert outline["rules"]["name"] == "Marrowby Spring Sheep Judging Day"
    assert {name for _of_the_day, name, _rows in rows} == {"contestants", "cards", "reasons", "marks"}
    assert read("picture", svg('<rect width="3" height="3"/>'))[0][0] == ".svg"
    eventually(nothing_left_over)


def test_every_problem_of_a_book_comes_back():
    rows = b"class,number,placing\n" + b"99,101,3124\n" * 2500
    made = bring("book", zipped({**demo_files(), "cards.csv": rows}))
    assert [(problem.file, problem.line) for problem in problems_of(made)] == [
        ("cards.csv", at + 2) for at in range(2500)
    ]
