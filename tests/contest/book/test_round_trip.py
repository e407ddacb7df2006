"""Writing a book and reading it again: any valid contest comes back equal, and always as the same bytes."""

from __future__ import annotations

import copy
import tempfile
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from contest.book import read_book, write_book
from scoring.core.record import Record
from tests.contest.book.books import SOUND, lay_out
from tests.strategies import records, wide_records


def read_all(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@settings(max_examples=150, deadline=None)
@given(st.one_of(records(), wide_records()))
def test_a_written_book_reads_as_the_same_record_and_writes_the_same_bytes(record: Record) -> None:
    before = copy.deepcopy(record)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        for name in ("one", "one.zip"):
            write_book(record, folder / name)
            again = read_book(folder / name)
            assert again == record
            write_book(again, folder / name.replace("one", "two"))
        assert read_all(folder / "one") == read_all(folder / "two")
        assert (folder / "one.zip").read_bytes() == (folder / "two.zip").read_bytes()
    assert record == before


def test_a_book_by_hand_keeps_its_rows_when_written_again(tmp_path: Path) -> None:
    record = read_book(lay_out(tmp_path / "hand", SOUND))
    write_book(record, tmp_path / "again")
    assert read_book(tmp_path / "again") == record
    assert (tmp_path / "again" / "reasons.csv").read_text() == SOUND["reasons.csv"]
    assert (tmp_path / "again" / "cards.csv").read_text() == SOUND["cards.csv"]
    assert (tmp_path / "again" / "marks.csv").read_text() == SOUND["marks.csv"]


@pytest.mark.parametrize("name", ["book", "book.zip", "book.ZIP", "deeper/book", "deeper/book.zip"])
def test_a_book_is_written_as_a_folder_or_a_zip_by_its_name(tmp_path: Path, name: str) -> None:
    record = read_book(lay_out(tmp_path / "hand", SOUND))
    write_book(record, str(tmp_path / name))
    assert (tmp_path / name).is_file() == name.lower().endswith(".zip")
    assert read_book(tmp_path / name) == record


def test_a_written_contest_toml_is_toml_that_the_standard_library_reads(tmp_path: Path) -> None:
    write_book(read_book(lay_out(tmp_path / "hand", SOUND)), tmp_path / "again")
    written = tomllib.loads((tmp_path / "again" / "contest.toml").read_text("utf-8"))
    for key, value in tomllib.loads(SOUND["contest.toml"])["contest"].items():
        assert written["contest"][key] == value
    assert [division["code"] for division in written["division"]] == ["SR", "JR"]
    assert written["class"][0]["cuts"] == [3, 5, 2]
    assert "official" not in written["class"][1]
