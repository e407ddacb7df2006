"""A database is looked at before anything is done with it: each kind of damage is told by name, and nothing is made."""

import sqlite3
from contextlib import closing
from uuid import uuid4

import pytest

from contest.disk.integrity import Damage, look_at_database, look_at_folder
from contest.disk.used import database_of, mark_used

KNOWN = {("contest", "0001_initial"), ("contest", "0002_more")}
ROWS = 4_000


@pytest.fixture
def folder(tmp_path):
    """A data folder that was used, with a database of ours."""
    own = uuid4()
    with closing(sqlite3.connect(tmp_path / "db.sqlite3")) as database:
        database.execute("CREATE TABLE django_migrations (app, name)")
        database.executemany("INSERT INTO django_migrations VALUES (?, ?)", KNOWN)
        database.execute("CREATE TABLE contest_contest (id integer primary key, name)")
        database.executemany("INSERT INTO contest_contest (name) VALUES (?)", [("x" * 50,)] * ROWS)
        database.execute("CREATE INDEX by_name ON contest_contest (name)")
        database.execute("CREATE TABLE contest_identity (uuid)")
        database.execute("INSERT INTO contest_identity VALUES (?)", [own.hex])
        database.commit()
    mark_used(tmp_path, own)
    return tmp_path


def damage_of(folder):
    before = sorted(path.name for path in folder.iterdir())
    with pytest.raises(Damage) as found:
        look_at_database(folder / "db.sqlite3", KNOWN)
    assert sorted(path.name for path in folder.iterdir()) == before, "looking made something"
    assert "db.sqlite3" in found.value.text
    return found.value


def change(folder, *statements):
    with closing(sqlite3.connect(folder / "db.sqlite3")) as database:
        for statement in statements:
            database.execute(statement)
        database.commit()


def test_a_whole_database_is_no_trouble(folder):
    assert look_at_database(folder / "db.sqlite3", KNOWN) is False


def test_a_folder_that_was_never_used_may_begin(tmp_path):
    assert look_at_database(tmp_path / "db.sqlite3", KNOWN) is False
    (tmp_path / "db.sqlite3").touch()  # a first start that was stopped at once
    assert look_at_database(tmp_path / "db.sqlite3", KNOWN) is False


def test_an_older_database_is_to_be_copied_first(folder):
    change(folder, "DELETE FROM django_migrations WHERE name = '0002_more'")
    assert look_at_database(folder / "db.sqlite3", KNOWN) is True


def test_a_newer_database_is_left_alone(folder):
    change(folder, "INSERT INTO django_migrations VALUES ('contest', '0099_later')")
    found = damage_of(folder)
    assert (found.kind, found.lost) == ("newer", False)
    assert "0099_later" in found.text


def test_a_database_from_before_the_first_release_is_left_alone(folder):
    """Neither older nor newer: its migrations are others."""
    change(folder, "UPDATE django_migrations SET name = '0015_other' WHERE name = '0002_more'")
    found = damage_of(folder)
    assert (found.kind, found.lost) == ("another version", False)
    assert "contest 0015_other" in found.text
    assert "save each contest as a book" in found.text


def test_an_empty_file_is_a_loss(folder):
    (folder / "db.sqlite3").write_bytes(b"")
    assert damage_of(folder).kind == "empty"


def test_a_missing_file_is_a_loss(folder):
    (folder / "db.sqlite3").unlink()
    assert damage_of(folder).kind == "missing"


def test_an_older_folder_is_known_by_what_a_start_left_in_it(folder):
    (folder / "used").unlink()
    (folder / "demo-decided").touch()
    (folder / "db.sqlite3").unlink()
    assert damage_of(folder).kind == "missing"


def test_a_log_without_its_database_says_that_the_last_saves_are_in_it(folder):
    (folder / "db.sqlite3").unlink()
    (folder / "used").unlink()
    (folder / "db.sqlite3-wal").write_bytes(b"x" * 100)
    found = damage_of(folder)
    assert found.kind == "missing"
    assert "db.sqlite3-wal" in found.text


@pytest.mark.parametrize("content", [b"PK\x03\x04 something else", b"\0" * 8192], ids=["another file", "zeros"])
def test_another_kind_of_file_is_told(folder, content):
    (folder / "db.sqlite3").write_bytes(content)
    assert damage_of(folder).kind == "foreign"


def test_somebody_elses_database_is_told(folder):
    (folder / "db.sqlite3").unlink()
    change(folder, "CREATE TABLE recipes (name)")
    assert damage_of(folder).kind == "foreign"


def test_a_database_without_a_table_is_told(folder):
    (folder / "db.sqlite3").unlink()
    change(folder, "PRAGMA user_version = 7")
    assert damage_of(folder).kind == "foreign"


def test_the_database_of_another_folder_is_told(folder):
    change(folder, f"UPDATE contest_identity SET uuid = '{uuid4().hex}'")
    assert damage_of(folder).kind == "foreign"


@pytest.mark.parametrize("page", [2, 5, 40])
def test_a_damaged_page_is_told(folder, page):
    with (folder / "db.sqlite3").open("rb+") as file:
        file.seek(4096 * page)
        file.write(b"\xa5" * 4096)
    found = damage_of(folder)
    assert (found.kind, found.lost) == ("damaged", True)


def test_a_database_that_was_cut_short_is_told(folder):
    with (folder / "db.sqlite3").open("rb+") as file:
        file.truncate(4096 * 20)
    assert damage_of(folder).kind == "damaged"


def full_disk(monkeypatch):
    def no_room(descriptor, content):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("contest.disk.room.os.write", no_room)


def test_a_full_disk_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr("contest.disk.integrity.room_left", lambda folder: 300_000)
    full_disk(monkeypatch)
    with pytest.raises(Damage, match=r"is full: 0\.3 MB left") as found:
        look_at_folder(tmp_path)
    assert not found.value.lost
    assert list(tmp_path.iterdir()) == []


def test_a_disk_with_hardly_any_room_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr("contest.disk.integrity.room_left", lambda folder: 3_000_000)
    with pytest.raises(Damage, match="is full"):
        look_at_folder(tmp_path)


def test_a_read_only_disk_is_told(tmp_path, monkeypatch):
    def refuse(*args, **kwargs):
        raise OSError(30, "Read-only file system")

    monkeypatch.setattr("contest.disk.room.tempfile.mkstemp", refuse)
    with pytest.raises(Damage, match="cannot be written to: Read-only file system") as found:
        look_at_folder(tmp_path)
    assert found.value.kind == "read-only"


def test_a_folder_with_room_is_no_trouble(tmp_path):
    look_at_folder(tmp_path)
    look_at_folder(tmp_path / "not there yet")
    assert list(tmp_path.iterdir()) == []


def test_the_folder_remembers_its_database(tmp_path):
    own = uuid4()
    mark_used(tmp_path, own)
    assert database_of(tmp_path) == own
    (tmp_path / "used").write_text("half a wor")
    assert database_of(tmp_path) is None
