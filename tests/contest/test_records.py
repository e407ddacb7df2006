"""A book brought into the database and out again is the same book, with the same results to the byte."""

from contextlib import contextmanager
from pathlib import Path

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings

from contest.book import read_book
from contest.book.results import result_files
from contest.models import Contest
from contest.records import load_record, save_record
from scoring.core.tally import tally
from tests.strategies import records
from tests.trails import trail_of

EXAMPLES = Path(__file__).parents[1] / "examples"
DEMO = Path(__file__).parents[2] / "fixtures" / "demo"


@contextmanager
def rolled_back():
    """One example's rows, gone again before the next."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


@pytest.mark.django_db
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(record=records())
def test_a_record_comes_back_from_the_database_as_it_went_in(record):
    with rolled_back():
        contest = save_record(record, by="test")
        revision, loaded = load_record(contest.pk)
        assert loaded == record
        assert revision == contest.revision == 1


@pytest.mark.django_db
@pytest.mark.parametrize("book", [EXAMPLES / "book-1", EXAMPLES / "book-3", EXAMPLES / "book-8", DEMO], ids=str)
def test_the_database_gives_the_results_of_the_file_to_the_byte(book):
    record = read_book(book)
    loaded = load_record(save_record(record, by="test").pk)[1]
    assert result_files(loaded, tally(loaded)) == result_files(record, tally(record))


@pytest.mark.django_db
def test_two_contests_of_the_same_book_keep_apart():
    record = read_book(EXAMPLES / "book-3")
    first, second = save_record(record, by="test"), save_record(record, by="test")
    assert load_record(first.pk)[1] == load_record(second.pk)[1] == record


@pytest.mark.django_db
def test_an_import_is_in_the_trail():
    contest = save_record(read_book(EXAMPLES / "book-1"), by="Ada")
    (entry,) = trail_of(contest)
    assert (entry.by, entry.revision, entry.after["contestants"]) == ("Ada", 1, 20)


@pytest.mark.django_db
def test_an_import_that_fails_leaves_nothing_behind(monkeypatch):
    def fail(*args, **kwargs):
        raise RuntimeError("the laptop was closed")

    monkeypatch.setattr("contest.records.saving.record_change", fail)
    with pytest.raises(RuntimeError):
        save_record(read_book(EXAMPLES / "book-1"), by="test")
    assert not Contest.objects.exists()


@pytest.mark.django_db
def test_how_many_queries_it_takes_does_not_depend_on_how_many_compete(django_assert_num_queries):
    small = save_record(read_book(EXAMPLES / "book-1"), by="test")
    large = save_record(read_book(DEMO), by="test")
    for contest in (small, large):
        with django_assert_num_queries(20):
            load_record(contest.pk)
