"""What a file is refused for, and how far it is, is said in the language of whoever brought it."""

import json
import subprocess
import sys
from dataclasses import asdict

import pytest
from django.utils.translation import override

from contest.background import start_child
from contest.language.catalogs import texts_of
from contest.records.day import BOOK, BY_OFFICIAL
from contest.templatetags.reasons import reader_name, reason_text
from contest.uploads.files import problems_of
from contest.uploads.readers import READERS
from tests.contest.uploads.cast import bring, demo_files, limited, zipped
from tests.texts import pseudo
from tests.texts.pseudo import said

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.any_database]


@pytest.fixture
def made_up(made_up_texts):
    with pseudo.spoken(made_up_texts), override("xx"):
        yield


def test_a_book_is_refused_in_it(made_up):
    entries = demo_files()["entries.csv"].replace(b",individual,", b",alone,", 1)
    refused = bring("book", zipped(demo_files() | {"entries.csv": entries}))
    assert refused.state == refused.State.FAILED
    assert refused.trouble == said("Nothing was saved: the book has problems.")
    wanted = said("role is {value!r}; it must be member or individual").format(value="alone")
    assert wanted in [problem.reason for problem in problems_of(refused)]


def test_a_list_is_refused_in_it(made_up):
    assert bring("list", b" ").trouble == f"{said('the file is empty')}."


def test_a_limit_is_told_in_it(made_up, monkeypatch):
    limited(monkeypatch, "list", written=10)
    told = said("Nothing was saved: what is in it has more than {most} MB.").format(most=0)
    assert bring("list", b"a,b\n" * 100).trouble == f"{told} {said(READERS['list'].mend)}"


def test_whoever_speaks_english_meanwhile_is_told_in_english(made_up):
    with override("en"):
        assert bring("list", b" ").trouble == "The file is empty."


def test_the_child_says_in_it_how_far_it_is(made_up, tmp_path):
    (tmp_path / "file").write_bytes(zipped(demo_files()))
    order = {"kind": "book", "name": "fair.zip", "limits": asdict(READERS["book"].limits)}
    order |= {"file": str(tmp_path / "file"), "result": str(tmp_path / "result")}
    order |= {"texts": texts_of("xx"), "decimal_mark": ","}
    with start_child("contest.uploads.child", json.dumps(order)) as child:
        at = [json.loads(line)["at"] for line in child.stdout]
    file, row, rows = "cards.csv", 500, len(demo_files()["cards.csv"].splitlines())
    told = said("reading {file}, row {row} of {rows}")
    assert at[0] == told.format(file=file, row=row, rows=f"{rows:,}".replace(",", "\u202f"))


def test_the_language_costs_the_child_no_django():
    script = (
        "import sys; from contest.uploads import child; child.speak_from([], '.');"
        "sys.exit(any(name.split('.')[0] == 'django' for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


def test_who_read_a_book_is_called_so_in_the_language_of_the_page(made_up):
    assert reader_name(BOOK) == said("contest book")
    assert reader_name("Sue") == "Sue"
    assert reason_text(BY_OFFICIAL) == said("entered by the official")
