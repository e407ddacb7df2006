"""What one reading costs: many helpers type at once, and each statement is a part of everybody's wait."""

import json
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from contest.models import Card, Duty
from scoring.core.record import Rules
from tests.factories import a_contest

MOST = 10  # with the beginning and the end of the transaction


@pytest.fixture
def desk(transactional_db, as_helper):
    contest = a_contest(rules=Rules(name="Dear"), cards=())
    return {name: as_helper(contest, Duty.TABULATOR, name) for name in ("Ann", "Ben", "Cal")}, contest


def read(desk, by, placing, number=101):
    clients, contest = desk
    body = {"submission": str(uuid4()), "by": by, "class_number": 1, "number": number, "placing": placing}
    address = reverse("desk-readings", args=[contest.pk])
    with CaptureQueriesContext(
        connection,
    ) as asked:
        answer = clients[by].post(address, json.dumps(body), content_type="application/json")
    assert answer.status_code == 200
    return answer.json()["kind"], [query["sql"] for query in asked.captured_queries]


def test_a_reading_takes_ten_statements_at_most(desk):
    read(desk, "Ann", "1234", 102)  # whatever is asked but once in a while is asked by now
    read(desk, "Ben", "1234", 102)
    read(desk, "Cal", "1234", 103)
    for by, placing, kind in (("Ann", "3124", "saved"), ("Ben", "3124", "settled"), ("Cal", "1324", "differs")):
        became, statements = read(desk, by, placing)
        assert became == kind
        assert statements[1] in ("BEGIN", "BEGIN IMMEDIATE")
        assert len(statements) <= MOST, "\n".join(statements)
    assert Card.objects.filter(contestant__number=101).count() == 1


def test_a_reading_of_a_number_that_nobody_has_takes_no_more(desk):
    read(desk, "Ann", "1234", 102)
    became, statements = read(desk, "Ann", "3124", 999)
    assert became == "unknown-number"
    assert len(statements) <= MOST, "\n".join(statements)


@pytest.mark.postgresql
def test_what_every_reading_asks_is_planned_but_once(desk):
    for number in range(20, 28):
        read(desk, "Ann", "1234", number)
    with connection.cursor() as cursor:
        cursor.execute("SELECT statement FROM pg_prepared_statements")
        planned = [" ".join(statement.split()) for (statement,) in cursor.fetchall()]
    for beginning in ("SELECT class.id, person.id", "SELECT revision, trail_head", 'INSERT INTO "contest_reading"'):
        assert any(statement.startswith(beginning) for statement in planned), planned
