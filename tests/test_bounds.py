"""No page grows with the contest: every address that answers GET, in a contest beyond every bound and in a larger one.

Only numbers may stand on a page for everybody, as in the list of a group: a row for each contestant would be more than
A_NUMBER bytes. `tests/bench/bench_pages.py` looks at the same pages of a contest of 1 500.
"""

from datetime import UTC, datetime

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection, reset_queries
from django.test import Client
from django.test.utils import CaptureQueriesContext

from contest.watch import waiting
from contest.web import revisions
from tests.accounts import signed_in
from tests.addresses import addresses, values_of
from tests.bench.full_contest import make_full_contest

SMALL, LARGE = 240, 300
DOUBTS = {SMALL: 140, LARGE: 209}
"""With as many absent people of whose cards each is a doubt: such a doubt takes more room than others."""
A_NUMBER = 110
MOST = 300_000
SLACK = 3
"""Statements by which a page may differ: one is left out where there is nothing to ask for, or where it is known."""

PRINTS = "/prints/look/"
"""A list that is to be printed is shown whole, up to a bound far beyond these contests."""

LEAVING = ("/leave/", "/sign-out/")

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture
def contests():
    return {size: make_full_contest(size, DOUBTS[size]) for size in (SMALL, LARGE)}


@pytest.fixture
def superintendent():
    return signed_in()


def asked(client, contest):
    """Each address with the statements and the length of its answer; None for what is not there or not to be seen."""
    for address in addresses(values_of(contest)):
        if address in LEAVING:
            continue
        waiting.forget_all()
        revisions.forget_all()  # what is known for half a second or a minute would be asked for now and then
        cache.delete(f"revision-{contest.pk}")
        reset_queries()
        with CaptureQueriesContext(connection) as statements:
            answer = client.get(address)
        if answer.status_code == 200:
            is_page = answer.headers["Content-Type"].startswith("text/html")
            yield address, len(statements), len(answer.getvalue()) if is_page else 0
        else:
            yield address, 0, 0


def compared(small, large):
    """What grows too much from the one to the other."""
    room = (LARGE - SMALL) * A_NUMBER
    for (_, statements, length), (address, more, longer) in zip(small, large, strict=True):
        if not statements or not more:
            continue
        if more > statements + SLACK:
            yield f"{address}: {statements} and {more} statements"
        grows = longer > length + room and PRINTS not in address
        if grows or longer > MOST:
            yield f"{address}: {length} and {longer} bytes"


@time_machine.travel(datetime.now(UTC), tick=False)  # what is asked for once a minute would be so for one of the two
def test_no_page_grows_with_the_contest(contests, superintendent):
    found, visited = [], 0
    for client in (superintendent, Client()):  # who sees all, and a stranger; a duty's pages are among the first's
        small, large = (list(asked(client, contest)) for contest in contests.values())
        visited += sum(statements > 0 for _, statements, _ in large)
        found += compared(small, large)
    assert not found, "\n".join(found)
    assert visited > 100
