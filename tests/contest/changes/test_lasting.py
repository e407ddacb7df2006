"""Pieces that nobody is told of wait for no disk, and every change outside does."""

import pytest
from django.db import transaction

from contest.changes.lasting import lasting_with_the_next, put_away
from tests.contest.changes.disk import waits_for_the_disk


@pytest.mark.django_db(transaction=True)
def test_a_change_waits_for_the_disk_unless_it_lasts_with_the_next():
    with lasting_with_the_next():
        assert not waits_for_the_disk()
        put_away()
    assert waits_for_the_disk()


@pytest.mark.django_db(transaction=True)
def test_so_it_does_where_a_piece_failed():
    with pytest.raises(ZeroDivisionError), lasting_with_the_next(), transaction.atomic():
        1 / 0  # noqa: B018
    assert waits_for_the_disk()


@pytest.mark.sqlite  # the tests' own PostgreSQL waits for no disk, until it is told to
@pytest.mark.django_db(transaction=True)
def test_a_part_of_a_change_waits_with_all_of_it():
    with transaction.atomic(), lasting_with_the_next():
        assert waits_for_the_disk()
