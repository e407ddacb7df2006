"""Starting from a copy, at the shell: what is newer is not lost unasked, and what is in force is never deleted."""

import json
import shutil
import sqlite3
from contextlib import closing

import pytest

from contest.copies.restoring import RESTORED, tell_the_trail
from contest.models import TrailEntry
from tests.contest.copies.test_backing_up import ROOT, manage
from tests.faults.hall import free_port

DEMO = ROOT / "fixtures" / "demo"


def contests(folder):
    with closing(sqlite3.connect(folder / "db.sqlite3")) as database:
        return [row[0] for row in database.execute("SELECT id FROM contest_contest ORDER BY id")]


def test_a_copy_is_started_from_and_nothing_newer_is_lost_unasked(data, tmp_path):
    stick, other = tmp_path / "stick", tmp_path / "other"
    assert manage(data, "back_up", stick / "one")[0] == 0
    assert manage(data, "import_book", DEMO)[0] == 0

    code, said = manage(data, "restore", stick / "one")
    assert code != 0
    assert "Marrowby Spring Sheep Judging Day: all of it, 1 changes" in said
    assert "--over-newer" in said and "Nothing was changed." in said
    assert contests(data) == [1, 2]

    code, said = manage(data, "restore", stick / "one", "--over-newer")
    assert code == 0, said
    assert "In force now:" in said and "1  Marrowby" in said and "2  Marrowby" not in said
    assert contests(data) == [1]
    (aside,) = (data / "aside").iterdir()
    assert contests(aside) == [1, 2]  # never deleted
    assert json.loads((data / RESTORED).read_text())["copy"] == "one"  # for the trail, when `up` has looked at it

    # The copy that was made first goes on from there, by its number.
    code, said = manage(data, "restore", "1")
    assert code == 0, said
    assert contests(data) == [1, 2]

    # Another laptop, from a .zip as it is downloaded.
    shutil.make_archive(str(stick / "packed"), "zip", stick, "one")
    code, said = manage(other, "restore", stick / "packed.zip")
    assert code == 0, said
    assert contests(other) == [1]
    assert (other / "secret-key").read_text() == (stick / "one" / "secret-key").read_text()
    assert other.stat().st_mode & 0o077 == 0


def test_a_damaged_copy_changes_nothing(data, tmp_path):
    copy = tmp_path / "copy"
    assert manage(data, "back_up", copy)[0] == 0
    with (copy / "db.sqlite3").open("rb+") as file:
        file.seek(4096 * 30)
        file.write(b"\xa5" * 4096 * 3)
    before = (data / "db.sqlite3").read_bytes()
    code, said = manage(data, "restore", copy)
    assert code != 0
    assert "cannot be started from" in said and "Nothing was changed." in said
    assert (data / "db.sqlite3").read_bytes() == before
    assert not [path for path in data.iterdir() if path.name.startswith(".restore-")]


def test_over_a_loss_nothing_new_is_begun_and_the_last_copy_is_named(data):
    assert manage(data, "back_up", data / "copies" / "0007-20260425-090000")[0] == 0
    (data / "demo-decided").touch()
    (data / "db.sqlite3").write_bytes(b"")
    before = sorted(path.name for path in data.iterdir())
    for command in (["up", "--host", "127.0.0.1", "--port", str(free_port())], ["import_book", DEMO]):
        code, said = manage(data, *command)
        assert code != 0
        assert f"{data / 'db.sqlite3'} is empty" in said
        assert "Marrowby Spring Sheep Judging Day, revision 1" in said
        assert f'python3 manage.py restore 0 --data "{data}"' in said
        assert (data / "db.sqlite3").stat().st_size == 0
    left = sorted(path.name for path in data.iterdir() if path.name != "in-use.lock")
    assert left == before
    code, said = manage(data, "restore", "0")
    assert code == 0, said
    assert contests(data) == [1]


@pytest.mark.django_db
def test_the_trail_is_told_once_that_this_is_a_copy(tmp_path):
    word = {"copy": "0007-20260425-090000", "at": "2026-04-25T09:14:03+00:00", "contests": ["Marrowby, revision 12"]}
    (tmp_path / RESTORED).write_text(json.dumps(word))
    tell_the_trail(tmp_path)
    tell_the_trail(tmp_path)
    entry = TrailEntry.objects.get(contest=None)
    assert (entry.what, entry.after) == ("started_from_copy", word)
