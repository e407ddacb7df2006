"""Changes that wait for each other are saved together, and nobody fails by another's."""

import time
from concurrent.futures import ThreadPoolExecutor
from uuid import uuid4

import pytest
from django.db import OperationalError, connection
from django.utils.translation import override

from contest.changes import together
from contest.changes.exceptions import NotPossible
from contest.models import Card, Contest, Reading
from contest.slips import known_cards
from contest.slips.known_cards import read_card
from contest.trail.proving import prove
from tests.factories import a_contest

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]

READERS = ("Ann", "Ben", "Cleo", "Dan")


@pytest.fixture
def contest():
    return a_contest(cards=())


@pytest.fixture
def all_come_at_once(contest, monkeypatch):
    """Hold whoever comes first until all others wait."""
    held = []
    ask_for_card = known_cards.ask_for_card

    def delayed(*args):
        answer = ask_for_card(*args)
        if not held:
            held.append(True)
            until = time.monotonic() + 5
            while len(together._waiting.get(contest.pk, ())) < len(READERS) - 1 and time.monotonic() < until:
                time.sleep(0.01)
        return answer

    monkeypatch.setattr(known_cards, "ask_for_card", delayed)


def all_read(contest, readers=READERS, placing=lambda by: "1234"):
    """Everybody reads the card of 101, in Spanish whose name is Ben; what each was told, or what was raised."""

    def one(by):
        try:
            with override("es" if by == "Ben" else "en"):
                outcome = read_card(contest, 1, 101, placing(by), by, submission := uuid4())
            assert Reading.objects.filter(submission=submission).exists()  # saved by the time that it is told
            return outcome.text
        except (NotPossible, OperationalError) as problem:
            return problem
        finally:
            connection.close()

    with ThreadPoolExecutor(len(readers)) as pool:
        return dict(zip(readers, pool.map(one, readers), strict=True))


def transactions():
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(DISTINCT xmin::text) FROM contest_reading")
        return cursor.fetchone()[0]


def is_whole(contest):
    now = Contest.objects.get(pk=contest.pk)
    return now.revision == now.trail.count() and not prove(now).problems


def test_whoever_waits_is_saved_with_the_one_they_wait_for(contest, all_come_at_once):
    told = all_read(contest)
    assert transactions() == 1
    assert Reading.objects.count() == len(READERS)
    assert Card.objects.get().state == "settled"
    assert is_whole(contest)
    assert "guardad" in told.pop("Ben").lower()
    assert all("saved" in text for text in told.values())


def test_control_each_alone_is_a_transaction_of_its_own(contest, monkeypatch):
    monkeypatch.setattr(known_cards, "together", lambda _contest, work: together._alone(work))
    all_read(contest)
    assert transactions() == len(READERS)


def test_who_cannot_be_saved_takes_nobody_along(contest, all_come_at_once):
    told = all_read(contest, placing=lambda by: "1239" if by == "Cleo" else "1234")
    assert isinstance(told.pop("Cleo"), NotPossible)
    assert not any(isinstance(text, Exception) for text in told.values())
    assert set(Reading.objects.values_list("by", flat=True)) == set(told)
    assert is_whole(contest)


def test_a_transaction_that_breaks_is_told_to_nobody_as_saved(contest, all_come_at_once, monkeypatch):
    add, broken = known_cards.add, []

    def breaking(slip, known, turn, value, by, **more):
        outcome = add(slip, known, turn, value, by, **more)
        if Reading.objects.count() == len(READERS) and not broken:
            broken.append(by)
            raise OperationalError("the disk is full")
        return outcome

    monkeypatch.setattr(known_cards, "add", breaking)
    told = all_read(contest)
    assert broken
    assert not any(isinstance(text, Exception) for text in told.values())
    assert Reading.objects.count() == len(READERS) == transactions()
    assert is_whole(contest)


def test_where_the_database_is_gone_each_is_told_so(contest, all_come_at_once, monkeypatch):
    def broken(*_args, **_more):
        raise OperationalError("the disk is full")

    monkeypatch.setattr(known_cards, "add", broken)
    assert all(isinstance(problem, OperationalError) for problem in all_read(contest).values())
    assert not Reading.objects.exists()
    assert not together._waiting
