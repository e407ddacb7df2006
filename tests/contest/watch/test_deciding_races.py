"""Two superintendents' laptops decide the same card at the same moment."""

import threading

import pytest
from django.db import connection

from contest.models import Card, Reading
from contest.slips.cards import CardSlip
from contest.watch.deciding import Overtaken, decide_seen
from contest.watch.finding import doubts_of
from tests.contest.watch.cast import differing, small_contest, the_class, the_contestant
from tests.slips import decide_card


@pytest.fixture
def contest(transactional_db):
    contest = small_contest()
    differing(contest)
    return contest


def both_at_once(decide):
    """Two decide at once; gives what went wrong."""
    start = threading.Barrier(2)
    problems = []

    def one(by, placing):
        try:
            start.wait(timeout=5)
            decide(by, placing)
        except Overtaken as problem:
            problems.append(problem)
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=given) for given in (("Sue", "3124"), ("Tom", "3142"))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return problems


def test_of_two_who_decide_at_once_one_is_told(contest):
    seen = doubts_of(contest)[0].fingerprint
    card = CardSlip(the_class(contest), 101, the_contestant(contest, 101))
    problems = both_at_once(lambda by, placing: decide_seen(card, placing, by, "seen it", shown=seen))
    assert len(problems) == 1
    (decision,) = Reading.objects.filter(decides=True)
    assert Card.objects.get().placing == decision.placing


def test_control_without_the_look_both_decide_and_nobody_is_told(contest):
    judged, contestant = the_class(contest), the_contestant(contest, 101)
    assert both_at_once(lambda by, placing: decide_card(judged, contestant, placing, by, "seen it")) == []
    assert Reading.objects.filter(decides=True).count() == 2
