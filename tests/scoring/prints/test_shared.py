"""Print jobs of several processes on PostgreSQL: which are lost, and whose file is fetched."""

import pytest
from django.db import DEFAULT_DB_ALIAS, connections

from contest import kept
from contest.changes.held import Held, hold
from scoring.models import PrintJob
from scoring.prints import jobs, shared
from tests.factories import a_contest

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]

State = PrintJob.State


@pytest.fixture
def elsewhere():
    """A connection as another process has it."""
    connection = connections.create_connection(DEFAULT_DB_ALIAS)
    yield connection
    connection.close()


def a_job(state=State.RUNNING, attempt=1):
    return PrintJob.objects.create(
        contest=a_contest(), document="doubts", revision=1, by="Sue", state=state, attempt=attempt, done=3, total=9
    )


def test_a_job_that_somebody_holds_is_left_alone_and_goes_into_the_line_again_once_nobody_does(elsewhere):
    job = a_job()
    assert hold(elsewhere, Held.PRINT, job.pk)
    jobs.line.take_up_again()
    job.refresh_from_db()
    assert (job.state, job.done) == (State.RUNNING, 3)
    elsewhere.close()
    while job.state == State.RUNNING:  # the server needs a moment to notice
        jobs.line.take_up_again()
        job.refresh_from_db()
    assert (job.state, job.attempt, job.done, job.total) == (State.WAITING, 1, 0, 0)


def test_a_job_that_ended_whoever_made_it_three_times_has_failed():
    job = a_job(attempt=jobs.MOST_ATTEMPTS)
    jobs.line.take_up_again()
    job.refresh_from_db()
    assert (job.state, job.problem) == (State.FAILED, jobs.IN_VAIN)


def test_what_waits_or_is_over_is_left_alone():
    others = [a_job(state=state) for state in State if state != State.RUNNING]
    jobs.line.take_up_again()
    assert [PrintJob.objects.get(pk=job.pk).state for job in others] == [job.state for job in others]


def test_a_file_is_fetched_whole_or_not_at_all(tmp_path, in_a_bucket):
    job = a_job(state=State.DONE)
    path = tmp_path / "data" / "prints" / f"{job.pk}.pdf"
    shared.fetch(job, path)
    assert not path.exists()
    made = tmp_path / f"{job.pk}.pdf"
    made.write_bytes(b"%PDF-")
    shared.keep(made)
    shared.fetch(job, path)
    assert path.read_bytes() == b"%PDF-"
    assert list(path.parent.iterdir()) == [path]
    shared.throw_away()
    assert kept.is_there(shared.name_of(job))
    job.delete()
    shared.throw_away()
    assert kept.names_in("prints") == []


def test_somebody_who_was_cut_off_and_replaced_writes_over_nothing_and_what_they_made_goes(tmp_path, in_a_bucket):
    job = a_job(attempt=2)
    for name in (shared.made_as(job, 2), shared.made_as(job, 1)):  # the first comes late
        (tmp_path / name).write_bytes(name.encode())
        shared.keep(tmp_path / name)
    shared.throw_away()
    assert len(kept.names_in("prints")) == 2  # nobody has said yet which it is
    job.state, job.file = State.DONE, shared.made_as(job, 2)
    job.save()
    shared.fetch(job, tmp_path / "data" / "prints" / "fetched")
    assert (tmp_path / "data" / "prints" / "fetched").read_text() == f"{job.pk}-2.pdf"
    shared.throw_away()
    assert kept.names_in("prints") == [f"prints/{job.pk}-2.pdf"]
