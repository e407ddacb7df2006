"""The commands at the terminal: tally, import_book and export_book."""

import shutil
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from contest.book import read_book
from contest.models import Contest

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "tests" / "examples"
DEMO = ROOT / "fixtures" / "demo"


def run(*arguments):
    out, err = StringIO(), StringIO()
    call_command(*arguments, stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


@pytest.fixture
def broken_book(tmp_path):
    book = tmp_path / "broken"
    shutil.copytree(EXAMPLES / "book-1", book)
    with (book / "cards.csv").open("a") as cards:
        cards.write("1,59,3125\n9,59,3124\n")
    return book


@pytest.mark.parametrize("number", [1, 3, 8])
def test_tally_writes_the_four_files_of_an_independent_scorer(number, tmp_path):
    run("tally", EXAMPLES / f"book-{number}", "--out", tmp_path / "out")
    written = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    expected = {path.name: path.read_bytes() for path in (EXAMPLES / f"results-{number}").iterdir()}
    assert written == expected


def test_tally_refuses_a_broken_book_with_2_names_every_error_and_writes_nothing(broken_book, tmp_path):
    with pytest.raises(CommandError) as raised:
        run("tally", broken_book, "--out", tmp_path / "out")
    assert raised.value.returncode == 2
    assert "cards.csv:63" in str(raised.value)
    assert "cards.csv:64" in str(raised.value)
    assert not (tmp_path / "out").exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    "command", [["tally"], ["import_book"], ["plan_reasons", "--rooms", "2", "--start", "9:00"]], ids=lambda it: it[0]
)
def test_what_is_alike_in_a_broken_book_is_told_once_and_all_of_it_with_all(command, broken_book):
    with (broken_book / "cards.csv").open("a") as cards:
        cards.writelines(f"9,{number},3124\n" for number in range(1, 815))
    with pytest.raises(CommandError) as grouped:
        run(command[0], broken_book, *command[1:])
    with pytest.raises(CommandError) as whole:
        run(command[0], broken_book, *command[1:], "--all")
    told = str(grouped.value).splitlines()
    assert len(told) < 15
    assert "    and 812 more such rows in cards.csv" in told
    assert told[-1] == "`--all` lists every one."
    assert len(str(whole.value).splitlines()) > 815
    assert "more such" not in str(whole.value)
    assert grouped.value.returncode == whole.value.returncode == 2


def test_tally_exits_with_2_from_the_shell_and_leaves_no_data_folder(broken_book, tmp_path):
    command = [sys.executable, "manage.py", "tally", str(broken_book)]
    environment = {"PATH": "/usr/bin:/bin", "TANBARK_DATA": str(tmp_path / "data")}
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
    assert done.returncode == 2
    assert "cards.csv:64" in done.stderr
    assert not (tmp_path / "data").exists()


def test_tally_without_out_prints_at_most_ten_rows_a_list_in_a_width_that_fits():
    out, _ = run("tally", DEMO)
    lines = out.splitlines()
    assert lines[0] == read_book(DEMO).rules.name
    assert "\x1b" not in out
    assert max(map(len, lines)) <= 100
    ranks = [line.split()[0] for line in lines if line[:4].strip().isdigit()]
    assert ranks.count("1") >= 10
    assert all(int(rank) <= 10 for rank in ranks)


def test_tally_names_the_cards_that_are_not_settled(tmp_path):
    out, _ = run("tally", DEMO)
    _, err = run("tally", DEMO, "--out", tmp_path / "out")
    differing = [card for card in read_book(DEMO).cards if card.second is not None and card.second != card.placing]
    assert differing
    for card in differing:
        assert f"class {card.class_number}, contestant {card.number}:" in out
        assert f"class {card.class_number}, contestant {card.number}:" in err


def test_tally_shows_no_name_that_the_family_does_not_want_shown(tmp_path):
    book = tmp_path / "book"
    shutil.copytree(EXAMPLES / "book-1", book)
    entries = (book / "entries.csv").read_text().replace(",present", ",present,show_name")
    rows = entries.splitlines()
    entries = "\n".join([rows[0], *(row + (",no" if row.startswith("150,") else ",yes") for row in rows[1:])])
    (book / "entries.csv").write_text(entries)
    outline = (book / "contest.toml").read_text()
    (book / "contest.toml").write_text(outline.replace("[contest]", '[contest]\nshow_people_as = "name"'))
    out, _ = run("tally", book)
    assert "Zoe Grove" in out  # 59
    assert "Max Sedge" not in out  # 150


def test_tally_says_so_when_the_results_cannot_be_written(tmp_path):
    (tmp_path / "out").write_text("a file, not a folder")
    with pytest.raises(CommandError, match="cannot be written"):
        run("tally", EXAMPLES / "book-1", "--out", tmp_path / "out")


@pytest.mark.django_db
@pytest.mark.parametrize("target", ["folder", "book.zip"])
def test_a_book_imported_and_exported_has_the_same_rows_and_results(target, tmp_path):
    run("import_book", DEMO, "--by", "Ada")
    contest = Contest.objects.get()
    run("export_book", str(contest.pk), tmp_path / target)
    assert read_book(tmp_path / target) == read_book(DEMO)
    run("tally", tmp_path / target, "--out", tmp_path / "again")
    run("tally", DEMO, "--out", tmp_path / "out")
    for name in ("individuals.csv", "teams.csv", "scores.csv", "team-scores.csv"):
        assert (tmp_path / "again" / name).read_bytes() == (tmp_path / "out" / name).read_bytes()


@pytest.mark.django_db
def test_import_refuses_a_broken_book_and_keeps_the_database_as_it_was(broken_book):
    with pytest.raises(CommandError, match=r"cards\.csv:63"):
        run("import_book", broken_book)
    assert not Contest.objects.exists()


@pytest.mark.django_db
def test_export_does_not_write_over_anything_unless_told_to(tmp_path):
    run("import_book", EXAMPLES / "book-1")
    contest = str(Contest.objects.get().pk)
    kept = tmp_path / "kept.zip"
    kept.write_text("last year's")
    with pytest.raises(CommandError, match="is not empty"):
        run("export_book", contest, kept)
    assert kept.read_text() == "last year's"
    run("export_book", contest, kept, "--replace")
    assert read_book(kept) == read_book(EXAMPLES / "book-1")


@pytest.mark.django_db
def test_export_of_an_unknown_contest_names_those_there_are(tmp_path):
    run("import_book", EXAMPLES / "book-1")
    with pytest.raises(CommandError, match="Random contest 1"):
        run("export_book", "987654", tmp_path / "book")
