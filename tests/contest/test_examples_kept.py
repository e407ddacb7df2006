"""The example books of other animals, committees and keep/cull: kept in the database they come to the same results."""

from pathlib import Path

import pytest

from contest.book import read_book, write_results
from contest.records import save_record
from contest.records.day import load_record_with_day
from scoring.core.tally import tally

EXAMPLES = Path(__file__).parents[1] / "examples"


@pytest.mark.django_db
@pytest.mark.parametrize("number", [603, 607, 618])
def test_a_book_comes_to_the_same_results_to_the_byte_through_the_database(number, tmp_path):
    book = read_book(EXAMPLES / f"book-{number}")
    kept = load_record_with_day(save_record(book, "Sue").pk)
    write_results(kept, tally(kept), tmp_path / "results")
    theirs = EXAMPLES / f"results-{number}"
    for name in ("individuals.csv", "scores.csv", "team-scores.csv", "teams.csv"):
        assert (tmp_path / "results" / name).read_bytes() == (theirs / name).read_bytes(), name
    assert sorted(kept.panel) == sorted(book.panel)
