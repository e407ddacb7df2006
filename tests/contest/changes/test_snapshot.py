"""Pages are read while cards are: what a page shows belongs together, and nobody's work makes it fail."""

import threading
from uuid import uuid4

import pytest
from django.db import connection
from django.urls import reverse

from contest.changes import one_change
from contest.changes.snapshot import OnlyReads, one_snapshot
from contest.models import Contest, JudgingClass
from contest.records import load_record
from contest.records.loading import _Loading
from contest.records.tallying import tallied
from scoring.core.record import Rules
from scoring.prints import gathering
from scoring.prints.gathering import gather_material
from tests.accounts import an_account
from tests.factories import ClassFactory, a_contest, people
from tests.slips import read_card

PEOPLE = 400  # so many that cards are left for as long as pages are asked
ROUNDS = 2
EVERY = 1 / 20  # seconds
PAGES = ("contest", "progress", "doubts", "results", "standings", "desk", "book", "prints")

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def contest():
    """One reading settles a card here, so that every change makes one card and one revision."""
    rules = Rules(name="Busy", readings_per_card=1)
    return a_contest(rules=rules, classes=(ClassFactory(),), contestants=people(PEOPLE), cards=())


def in_another_thread(work):
    def run():
        try:
            work()
        finally:
            connection.close()

    thread = threading.Thread(target=run)
    thread.start()
    return thread


def read_one(contest, number=101):
    return read_card(JudgingClass.objects.get(contest=contest), number, "3124", "Ann", uuid4())


def read_on(contest, enough):
    """Reads a card, and the next after a moment, until it is enough."""
    for number in range(101, 101 + PEOPLE):
        read_one(contest, number)
        if enough.wait(EVERY):
            return


def disturbed(monkeypatch, contest):
    """Somebody else reads a card between the first query of a reading of the record and its last."""
    undisturbed, left = _Loading._load_cards, iter([1])

    def load_cards(self):
        if next(left, None):
            in_another_thread(lambda: read_one(contest)).join()
        return undisturbed(self)

    monkeypatch.setattr(_Loading, "_load_cards", load_cards)


def test_pages_answer_while_twenty_cards_a_second_are_read(contest, client):
    client.force_login(an_account())
    addresses = [reverse(name, args=[contest.pk]) for name in PAGES]
    enough = threading.Event()
    writer = in_another_thread(lambda: read_on(contest, enough))
    answers = set()
    for address in ROUNDS * addresses:
        answers.add((address, client.get(address).status_code))
        revision, record = load_record(contest.pk)
        assert len(record.cards) == revision - contest.revision  # of one moment
    enough.set()
    writer.join()
    assert Contest.objects.get(pk=contest.pk).revision > contest.revision
    assert answers == {(address, 200) for address in addresses}


def test_what_is_read_belongs_together_though_somebody_writes_meanwhile(contest, monkeypatch):
    disturbed(monkeypatch, contest)
    revision, record = load_record(contest.pk)
    assert (revision, len(record.cards)) == (contest.revision, 0)
    revision, record = load_record(contest.pk, (revision, record))
    assert (revision, len(record.cards)) == (contest.revision + 1, 1)


def test_control_without_a_snapshot_it_does_not_belong_together(contest, monkeypatch):
    disturbed(monkeypatch, contest)
    revision, record = load_record.__wrapped__(contest.pk)
    assert (revision, len(record.cards)) == (contest.revision, 1)  # a card of a revision that is still to come


def test_a_print_is_of_the_moment_that_it_was_read_at_though_pages_know_of_a_later_one(contest, monkeypatch):
    tallied_exactly = gathering.tallied_exactly

    def later(*about):
        in_another_thread(lambda: (read_one(contest), tallied(Contest.objects.get(pk=contest.pk)))).join()
        return tallied_exactly(*about)

    monkeypatch.setattr(gathering, "tallied_exactly", later)
    material = gather_material(contest.pk)
    assert (material.revision, len(material.record.cards)) == (contest.revision, 0)


def test_nobody_waits_for_a_snapshot_and_it_waits_for_nobody(contest):
    connection.close()  # a snapshot may be the first thing that a connection does
    with one_snapshot():
        before = Contest.objects.get(pk=contest.pk).revision
        in_another_thread(lambda: read_one(contest)).join()
        assert Contest.objects.get(pk=contest.pk).revision == before
    assert Contest.objects.get(pk=contest.pk).revision == before + 1

    begun, done = threading.Event(), threading.Event()

    def change():
        with one_change():
            Contest.objects.filter(pk=contest.pk).update(name="Changed")
            begun.set()
            assert done.wait(20)

    writer = in_another_thread(change)
    assert begun.wait(20)
    assert load_record(contest.pk)[1].rules.name == "Busy"
    done.set()
    writer.join()
    assert load_record(contest.pk)[1].rules.name == "Changed"


def test_nothing_is_changed_within_a_snapshot(contest):
    with one_snapshot(), one_snapshot(), pytest.raises(OnlyReads):
        read_one(contest)
    read_one(contest)  # and afterwards all is as usual
    assert getattr(connection, "transaction_mode", "IMMEDIATE") == "IMMEDIATE"


def test_within_a_change_a_snapshot_is_a_part_of_it(contest):
    with one_change():
        Contest.objects.filter(pk=contest.pk).update(name="Changed")
        assert load_record(contest.pk)[1].rules.name == "Changed"
        read_one(contest)
    assert Contest.objects.get(pk=contest.pk).name == "Changed"
