"""Nobody waits for somebody who waits for them. Two who wait for each other are shown as such within a second."""

import threading
from contextlib import contextmanager

import pytest
from django.db import connections

from contest.changes import one_change, take_turn
from contest.changes.locks import MemoryLock, WrongOrder
from contest.jobs import line as lines
from scoring.announced import released
from scoring.models import PrintJob
from scoring.prints import jobs
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice
from scoring.results.views import public
from tests.factories import a_contest

LONG_ENOUGH = 1.0  # seconds after which somebody who still waits waits for ever
State = PrintJob.State


@pytest.fixture
def job(transactional_db):
    return jobs.order_job(a_contest(), DOCUMENTS["results"], Choice(), "superintendent")


def at_once(*works):
    """Each in a thread of its own; gives the names of those that failed or never came to an end."""
    stuck = []

    def run(work):
        try:
            work()
        except BaseException:
            stuck.append(work.__name__)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=(work,), daemon=True) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    return stuck + [thread.name for thread in threads if thread.is_alive()]


class ImpatientLock:
    """As a lock, but whoever waits for it for ever is told so."""

    def __init__(self):
        self.lock = threading.Lock()

    def __enter__(self):
        if not self.lock.acquire(timeout=LONG_ENOUGH):
            raise TimeoutError("it never came free")

    def __exit__(self, *problem):
        self.lock.release()


@contextmanager
def told_when_begun(event):
    event.set()
    with one_change():
        yield


class Child:
    """A process that makes nothing until it is stopped."""

    returncode = 1

    def __init__(self, *about):
        self.stopped = threading.Event()
        self.terminate = self.stopped.set

    def __enter__(self):
        return self

    def __exit__(self, *problem):
        pass

    @property
    def stdout(self):
        assert self.stopped.wait(20)
        return []


def test_a_print_is_cancelled_while_it_begins(job, monkeypatch):
    """Whichever of the two comes first to the row: on PostgreSQL either may."""
    has_the_turn, begins = threading.Event(), threading.Event()
    monkeypatch.setattr(jobs.line, "lock", ImpatientLock())
    monkeypatch.setattr(jobs, "_child", Child)

    def cancel():
        with one_change():  # as `submitted` does
            take_turn(job.contest_id)
            has_the_turn.set()
            assert begins.wait(20)
            jobs.cancel_job(job)

    def begin():
        assert has_the_turn.wait(20)
        monkeypatch.setattr(lines, "one_change", lambda: told_when_begun(begins))
        jobs.line.try_one(job)

    assert at_once(cancel, begin) == []
    job.refresh_from_db()
    assert job.state == State.CANCELLED


def test_control_in_the_other_order_they_wait_for_each_other(job):
    lock, has_the_turn, has_the_lock = ImpatientLock(), threading.Event(), threading.Event()
    row = PrintJob.objects.filter(pk=job.pk)

    def cancel():
        with one_change():
            row.update(state=State.CANCELLED)
            has_the_turn.set()
            assert has_the_lock.wait(20)
            with lock:
                pass

    def begin():
        assert has_the_turn.wait(20)
        with lock:
            has_the_lock.set()
            with one_change():
                row.update(state=State.RUNNING)

    assert at_once(cancel, begin) == ["cancel"]  # who gives up, and lets the other one go on


def test_a_print_that_is_cancelled_just_before_its_process_begins_is_stopped(job, monkeypatch):
    class Child:
        stopped = False
        stdout: tuple = ()
        returncode = -15

        def terminate(self):
            self.stopped = True

        def __enter__(self):
            return self

        def __exit__(self, *problem):
            pass

    child = Child()

    def begins_late(*about):
        PrintJob.objects.filter(pk=job.pk).update(state=State.CANCELLED)
        return child

    monkeypatch.setattr(jobs, "_child", begins_late)
    jobs.line.try_one(job)
    job.refresh_from_db()
    assert (child.stopped, job.state) == (True, State.CANCELLED)


@pytest.mark.parametrize("lock", [jobs.line.lock, released._lock, public._making_files, MemoryLock(again=True)])
def test_nobody_begins_a_change_while_they_hold_a_lock_over_memory(transactional_db, lock):
    with lock, pytest.raises(WrongOrder), one_change():
        raise AssertionError("it has begun")
    with one_change():  # the lock is let go, and all is well
        pass


def test_within_a_change_a_lock_over_memory_may_be_taken_and_the_change_gone_on_with(transactional_db):
    with one_change(), MemoryLock(), one_change():
        pass
