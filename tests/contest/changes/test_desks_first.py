"""Whoever makes something large stands still while a desk waits, and never where that would hold up the desk."""

import threading
from threading import Thread

import pytest

from contest.changes import desks_first, one_change
from contest.changes.desks_first import a_desk_waits, let_desks_go_first, while_desks_rest
from contest.changes.locks import MemoryLock


class Stood:
    """Is there where `_nobody_waits` and the clock are: knows who stood still, and for how long."""

    def __init__(self):
        self.clock, self.times = 1000.0, []

    def monotonic(self):
        return self.clock

    def wait(self, seconds):
        self.times.append(seconds)
        self.clock += seconds

    def set(self):
        pass

    clear = set


@pytest.fixture
def stood(monkeypatch):
    """Who stood still, each time, by a clock that nothing else moves."""
    event = Stood()
    monkeypatch.setattr(desks_first, "_nobody_waits", event)
    monkeypatch.setattr(desks_first, "time", event)
    monkeypatch.setattr(desks_first, "_here", threading.local())
    return event


def beside_a_desk(work):
    """Do it in a thread of its own while a desk waits."""
    with a_desk_waits():
        other = Thread(target=work)
        other.start()
        other.join()


def test_it_goes_on_once_the_desk_is_answered(monkeypatch):
    monkeypatch.setattr(desks_first, "LONGEST", 60)
    seen = []
    other = Thread(target=lambda: seen.extend(while_desks_rest(["went on"])))
    with a_desk_waits():
        other.start()
        other.join(0.2)
        seen.append("answered")
    other.join()
    assert seen == ["answered", "went on"]


def test_nobody_stands_still_while_no_desk_waits(stood):
    assert list(while_desks_rest(range(3))) == [0, 1, 2]
    assert not stood.times


def test_it_stands_still_for_half_of_the_time_at_the_most(stood):
    def work():
        for _ in range(3):
            let_desks_go_first()
        stood.clock += desks_first.LONGEST
        let_desks_go_first()

    beside_a_desk(work)
    assert stood.times == [desks_first.LONGEST, desks_first.LONGEST]


def test_who_works_for_the_desk_does_not_wait_for_it(stood):
    with a_desk_waits():
        let_desks_go_first()
    assert not stood.times


def test_who_holds_what_a_desk_may_need_goes_on(stood):
    def work():
        with MemoryLock():
            let_desks_go_first()

    beside_a_desk(work)
    assert not stood.times


@pytest.mark.django_db
def test_a_change_goes_on(stood):
    desks_first._waiting += 1
    try:
        with one_change():
            let_desks_go_first()
        assert not stood.times
        let_desks_go_first()
        assert stood.times
    finally:
        desks_first._waiting -= 1


@pytest.mark.parametrize(
    ("method", "length", "waits"),
    [("POST", "200", 1), ("POST", "", 1), ("GET", "", 0), ("POST", "5000000", 0), ("POST", "many", 0)],
)
def test_what_is_sent_makes_a_desk_that_waits(method, length, waits):
    seen = []
    application = desks_first.desks_first(lambda environ, start: seen.append(desks_first._waiting) or [])
    application({"REQUEST_METHOD": method, "CONTENT_LENGTH": length}, None)
    assert seen == [waits]
    assert desks_first._waiting == 0
