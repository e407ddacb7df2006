"""Several statements that are sent at once are one change all the same: all of it, or nothing and a word why."""

from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, transaction

from contest.changes import one_change
from contest.changes.at_once import at_once, send
from contest.changes.inserting import insert
from contest.models import Card, Contest, Reading
from contest.slips.known_cards import read_card
from tests.factories import a_contest

pytestmark = pytest.mark.django_db(transaction=True)


def test_answers_are_there_in_whatever_order_they_are_asked_for():
    with transaction.atomic(), at_once():
        first, second = send("SELECT 1", [], list), send("SELECT 2 UNION SELECT 3 ORDER BY 1", [], list)
        assert (second(), first()) == ([(2,), (3,)], [(1,)])


def test_what_the_database_refuses_leaves_nothing_of_what_was_sent_with_it():
    contest = a_contest(cards=())
    read_card(contest, 1, 101, "1234", "Ann", submission := uuid4())
    revision = Contest.objects.get().revision
    again = Reading(submission=submission, judging_class=contest.classes.get(number=1), number=101, by="Ann")
    with pytest.raises(IntegrityError), one_change(), at_once():
        send("UPDATE contest_contest SET revision = revision + 1 RETURNING id", [], list)
        insert(again)()
    assert Contest.objects.get().revision == revision
    read_card(contest, 1, 101, "1234", "Ben", uuid4())  # and the connection serves whoever comes next
    assert (Reading.objects.count(), Card.objects.get().state) == (2, "settled")


@pytest.mark.postgresql
def test_what_nobody_asks_about_is_found_out_before_the_change_is_saved():
    with pytest.raises(IntegrityError), one_change(), at_once():
        for _ in range(2):
            with connection.cursor() as cursor:
                cursor.execute("INSERT INTO contest_traildoor (contest_key) VALUES (7)")
