"""A copy of everything, taken while the contest goes on."""

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

ROOT = Path(__file__).parents[3]
SECRET = "a secret that is long enough to be taken for one\n"


def manage(data, *arguments):
    """Run a command at the shell on a data folder of its own; gives back how it ended and what it said."""
    done = subprocess.run(
        [sys.executable, "manage.py", *map(str, arguments)],
        cwd=ROOT,
        env={"PATH": "/usr/bin:/bin", "TANBARK_DATA": str(data)},
        capture_output=True,
        text=True,
    )
    return done.returncode, done.stdout + done.stderr


def rows(database, table):
    with closing(sqlite3.connect(database)) as opened:
        return sorted(opened.execute(f"SELECT * FROM {table}"))


def test_the_copy_is_a_data_folder_that_goes_on_where_the_other_stood(data, tmp_path):
    (data / "secret-key").write_text(SECRET)
    for name in ("pictures", "prints"):
        (data / name).mkdir()
        (data / name / "1").write_text(name)
    code, said = manage(data, "back_up", tmp_path / "stick" / "copy")
    assert code == 0, said
    assert "Marrowby Spring Sheep Judging Day" in said
    copy = tmp_path / "stick" / "copy"
    for table in ("contest_contestant", "contest_card", "contest_trailentry"):
        assert rows(copy / "db.sqlite3", table) == rows(data / "db.sqlite3", table) != []
    assert (copy / "secret-key").read_text() == SECRET
    assert copy.stat().st_mode & 0o077 == 0  # for nobody else's eyes
    assert (copy / "pictures" / "1").read_text() == "pictures"
    # What can be made anew stays behind.
    assert sorted(path.name for path in copy.iterdir()) == ["copy.json", "db.sqlite3", "pictures", "secret-key"]
    assert [path.name for path in copy.parent.iterdir()] == ["copy"]  # and no half-made one beside it
    code, said = manage(copy, "export_book", 1, tmp_path / "book")
    assert code == 0, said


def test_a_save_under_way_neither_waits_nor_is_half_copied(data, tmp_path):
    with closing(sqlite3.connect(data / "db.sqlite3", isolation_level=None)) as desk:
        desk.execute("BEGIN IMMEDIATE")
        desk.execute("UPDATE contest_contest SET name = 'half saved'")
        code, said = manage(data, "back_up", tmp_path / "copy")
        assert code == 0, said
        desk.execute("ROLLBACK")
    assert "half saved" not in str(rows(tmp_path / "copy" / "db.sqlite3", "contest_contest"))


def test_an_earlier_copy_is_never_written_over(data, tmp_path):
    (tmp_path / "earlier").mkdir()
    (tmp_path / "earlier" / "db.sqlite3").write_text("precious")
    code, said = manage(data, "back_up", tmp_path / "earlier")
    assert code != 0
    assert "not empty" in said
    assert (tmp_path / "earlier" / "db.sqlite3").read_text() == "precious"


def test_an_empty_folder_is_filled(data, tmp_path):
    (tmp_path / "empty").mkdir()
    code, said = manage(data, "back_up", tmp_path / "empty")
    assert code == 0, said
    assert (tmp_path / "empty" / "db.sqlite3").is_file()


def test_where_it_cannot_be_written_it_says_so_and_leaves_nothing(data, tmp_path):
    (tmp_path / "file").write_text("")
    code, said = manage(data, "back_up", tmp_path / "file" / "copy")
    assert code != 0
    assert "cannot be written there" in said
    assert "Traceback" not in said


def test_without_a_database_it_says_what_makes_one(tmp_path):
    code, said = manage(tmp_path / "none", "back_up", tmp_path / "copy")
    assert code != 0
    assert "no database yet" in said
    assert not (tmp_path / "copy").exists()
