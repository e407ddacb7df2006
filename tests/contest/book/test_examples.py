"""The example books, whose results an independent scorer made: the four result files byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from contest.book import read_book, write_book, write_results
from scoring.core.tally import tally

EXAMPLES = Path(__file__).parents[2] / "examples"
BOOKS = sorted(path.name for path in EXAMPLES.glob("book-*"))
RESULT_FILES = ["individuals.csv", "scores.csv", "team-scores.csv", "teams.csv"]


def read_all(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_the_examples_are_there() -> None:
    assert BOOKS == ["book-1", "book-3", "book-603", "book-607", "book-618", "book-8"]
    for book in BOOKS:
        assert sorted(read_all(EXAMPLES / book.replace("book", "results"))) == RESULT_FILES


@pytest.mark.parametrize("book", BOOKS)
def test_an_example_gives_its_results_to_the_byte(tmp_path: Path, book: str) -> None:
    record = read_book(EXAMPLES / book)
    write_results(record, tally(record), tmp_path / "out" / "results")
    assert read_all(tmp_path / "out" / "results") == read_all(EXAMPLES / book.replace("book", "results"))


@pytest.mark.parametrize("book", BOOKS)
def test_an_example_written_and_read_again_gives_the_same_results(tmp_path: Path, book: str) -> None:
    write_book(read_book(EXAMPLES / book), tmp_path / "again.zip")
    record = read_book(tmp_path / "again.zip")
    write_results(record, tally(record), tmp_path / "results")
    assert read_all(tmp_path / "results") == read_all(EXAMPLES / book.replace("book", "results"))
