"""Two helpers on one card at the same moment. Each test has a control that shows what happens without the guard."""

import threading
from contextlib import suppress
from uuid import uuid4

import pytest
from django.db import connection

from contest.changes import together
from contest.models import Card, JudgingClass, Reading
from contest.records import save_record
from contest.slips import known_cards
from scoring.core import record as pure


@pytest.fixture
def judging_class(transactional_db):
    contest = save_record(
        pure.Record(
            rules=pure.Rules(name="Race"),
            divisions=(pure.Division("JR", "Junior", 3),),
            classes=(pure.JudgingClass(1, "First", ("JR",)),),
            contestants=(pure.Contestant(101, "JR", "Red"),),
        ),
        by="test",
    )
    return JudgingClass.objects.get(contest=contest)


@pytest.fixture
def both_look_before_either_saves(monkeypatch):
    """Hold each reader, who knows by then what was read before, until the other one does, or for a second at most."""
    meeting = threading.Barrier(2)
    ask_for_card = known_cards.ask_for_card

    def delayed(*args):
        answer = ask_for_card(*args)

        def answered():
            known = answer()
            with suppress(threading.BrokenBarrierError):  # broken where the other one waits for its turn
                meeting.wait(timeout=1)
            return known

        return answered

    monkeypatch.setattr(known_cards, "ask_for_card", delayed)


def read_at_once(judging_class, *readers, submission=None):
    """Both readers type 1234 at the same moment; gives what went wrong."""
    problems = []

    def read(by):
        try:
            known_cards.read_card(judging_class.contest, 1, 101, "1234", by, submission or uuid4())
        except Exception as problem:
            problems.append(problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=read, args=(by,)) for by in readers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return problems


def test_two_readings_of_one_card_at_once_settle_it(judging_class, both_look_before_either_saves):
    assert read_at_once(judging_class, "Ann", "Ben") == []
    assert Card.objects.get().state == "settled"


@pytest.mark.postgresql
def test_control_without_taking_turns_each_misses_the_other(judging_class, both_look_before_either_saves, monkeypatch):
    monkeypatch.setattr(known_cards, "ask_for_turn", lambda contest_id: lambda: None)
    monkeypatch.setattr(known_cards, "together", lambda contest_id, work: together._alone(work))
    assert read_at_once(judging_class, "Ann", "Ben") == []
    assert Reading.objects.count() == 2
    assert Card.objects.get().state == "once"


def test_the_same_submission_twice_at_once_is_one_reading(judging_class):
    assert read_at_once(judging_class, "Ann", "Ann", submission=uuid4()) == []
    assert Reading.objects.count() == 1
