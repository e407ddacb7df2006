"""Asking whether anything has changed costs next to nothing, however many ask."""

import time

import pytest

from contest.models import Contest
from contest.web.revisions import FRESH_FOR, once_a_version, revision_of
from tests.contest.watch.cast import read, small_contest


@pytest.fixture
def contest(db):
    return small_contest()


@pytest.mark.usefixtures("clock_stands")
def test_many_who_ask_at_once_cost_one_query(contest, django_assert_num_queries):
    with django_assert_num_queries(1):
        answers = {revision_of(contest.pk) for _ in range(200)}
    assert answers == {contest.revision}


@pytest.mark.usefixtures("clock_stands")
def test_it_is_asked_again_after_half_a_second(contest, monkeypatch):
    assert revision_of(contest.pk) == contest.revision
    read(contest, 1, 101, "3124")
    assert revision_of(contest.pk) == contest.revision  # still the old one: good enough for now
    later = time.time() + FRESH_FOR
    monkeypatch.setattr("django.core.cache.backends.locmem.time.time", lambda: later)
    assert revision_of(contest.pk) == Contest.objects.get().revision == contest.revision + 1


@pytest.mark.usefixtures("clock_stands")
def test_a_contest_that_is_not_there_has_no_revision(db, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert [revision_of(1), revision_of(1)] == [None, None]


def test_what_is_made_for_a_version_is_made_once(db):
    made = []

    def make():
        made.append(1)
        return len(made)

    assert [once_a_version("x", version, make) for version in ("1", "1", "2", "2")] == [1, 1, 2, 2]
