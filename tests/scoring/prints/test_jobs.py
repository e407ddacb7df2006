"""Print jobs: made in a process of its own, followed, cancelled, kept."""

import json
import os
import re
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection
from django.urls import reverse
from django.utils import translation

from contest.other_apps import keep_lines_going
from scoring.models import PrintJob
from scoring.prints import jobs
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice, choice_from
from scoring.prints.folders import private
from tests.factories import a_contest
from tests.pages import body
from tests.scoring.prints.papers import Pdf
from tests.waiting import eventually

pytestmark = pytest.mark.django_db(transaction=True)
State = PrintJob.State


@pytest.fixture(autouse=True)
def nobody_is_left_working():
    yield
    # The thread itself must have ended, not only its work: it holds a connection to the last.
    eventually(lambda: all(thread.name != "prints" for thread in threading.enumerate()))


def an_order(contest, document="results", **choice):
    return jobs.order_job(contest, DOCUMENTS[document], Choice(**choice), "superintendent")


def state_of(job):
    job.refresh_from_db()
    return job.state


def test_a_job_is_made_and_its_file_stays():
    job = an_order(a_contest(), lists=("SR/overall",))
    jobs.go_on()
    eventually(lambda: state_of(job) not in jobs.OPEN)
    assert (job.state, job.problem) == (State.DONE, "")
    assert job.finished_at
    assert job.total == 1
    made = Pdf(jobs.file_of(job))
    assert "Senior – Overall" in made.text
    assert made.catalogue["Lang"] == b"en"


def test_a_job_is_made_in_the_language_it_was_ordered_in():
    with translation.override("es"):
        job = an_order(a_contest(), lists=("SR/overall",))
    jobs.go_on()
    eventually(lambda: state_of(job) not in jobs.OPEN)
    assert Pdf(jobs.file_of(job)).catalogue["Lang"] == b"es"


def test_the_same_state_and_choice_gives_the_same_bytes_from_another_process():
    contest = a_contest()
    orders = [an_order(contest, "packets"), an_order(contest, "packets")]
    jobs.go_on()
    eventually(lambda: all(state_of(job) == State.DONE for job in orders))
    first, second = (jobs.file_of(job).read_bytes() for job in orders)
    assert first == second


def test_jobs_are_made_one_after_another_in_the_order_they_came(monkeypatch):
    made = []
    monkeypatch.setattr(jobs, "_make", lambda job, attempt: (made.append(job.pk), an_end_of(job)))
    contest = a_contest()
    orders = [an_order(contest) for _ in range(3)]

    def ask():
        jobs.go_on()
        connection.close()

    threads = [threading.Thread(target=ask) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    eventually(lambda: jobs.line.is_idle)
    assert made == [job.pk for job in orders]


def an_end_of(job):
    PrintJob.objects.filter(pk=job.pk).update(state=State.DONE)


def test_a_choice_that_cannot_be_made_fails_in_words():
    job = an_order(a_contest(), lists=("SR/nothing",))
    jobs.go_on()
    eventually(lambda: state_of(job) not in jobs.OPEN)
    assert job.state == State.FAILED
    assert job.problem.startswith("There is no list SR/nothing; this contest has SR/overall")
    assert not jobs.file_of(job).exists()


def test_a_job_that_waits_is_cancelled_at_once():
    job = an_order(a_contest())
    assert jobs.cancel_job(job)
    jobs.go_on()
    assert state_of(job) == State.CANCELLED
    assert not jobs.cancel_job(job)


def test_a_job_that_is_being_made_is_cancelled_with_its_process(monkeypatch):
    def slow(job, path):
        return subprocess.Popen(
            [sys.executable, "-c", "input()"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    monkeypatch.setattr(jobs, "_child", slow)
    job = an_order(a_contest())
    jobs.go_on()
    eventually(lambda: job.pk in jobs.line.attempts and jobs.line.attempts[job.pk].child)
    child = jobs.line.attempts[job.pk].child
    assert state_of(job) == State.RUNNING
    assert jobs.cancel_job(job)
    eventually(lambda: job.pk not in jobs.line.attempts)
    assert child.poll() is not None
    child.stdin.close()
    assert state_of(job) == State.CANCELLED
    assert not jobs.file_of(job).exists()


def test_what_the_process_says_is_written_down(monkeypatch):
    contest = a_contest()
    says = "".join(f"print({json.dumps(json.dumps(word))});" for word in ({"total": 9, "revision": 5}, {"done": 4}))

    def child(job, path):
        return subprocess.Popen([sys.executable, "-c", says + "exit(1)"], stdout=subprocess.PIPE, text=True)

    monkeypatch.setattr(jobs, "_child", child)
    job = an_order(contest)
    jobs.go_on()
    eventually(lambda: state_of(job) == State.FAILED)
    assert (job.done, job.total, job.revision) == (4, 9, 5)
    assert job.problem == "The process that made it stopped without a word."


def a_child_that_says(**facts):
    """A child that says how far it is, and waits for its input to end."""
    says = f"print({json.dumps(json.dumps(facts))}, flush=True); input()"
    return lambda job, path: subprocess.Popen(
        [sys.executable, "-c", says], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )


def test_a_job_says_how_far_it_is_before_its_first_page(monkeypatch, superintendent):
    monkeypatch.setattr(jobs, "_child", a_child_that_says(total=68, prepared=40))
    monkeypatch.setattr(jobs, "WAITS_AFTER", 600)
    job = an_order(a_contest())
    jobs.go_on()
    eventually(lambda: jobs.so_far(job).prepared == 40)
    shown = body(superintendent.get(reverse("prints-jobs", args=[job.contest_id])))
    assert "preparing about 68 pages: 40 %</p>" in shown
    assert 'value="40" max="100"' in " ".join(shown.split())
    jobs.line.attempts[job.pk].child.stdin.close()
    eventually(lambda: state_of(job) not in jobs.OPEN)


def test_a_job_that_comes_no_further_says_that_it_waits_for_the_machine(monkeypatch, superintendent):
    monkeypatch.setattr(jobs, "_child", a_child_that_says(total=68, done=12))
    monkeypatch.setattr(jobs, "WAITS_AFTER", 600)
    job = an_order(a_contest())
    address = reverse("prints-jobs", args=[job.contest_id])
    jobs.go_on()
    eventually(lambda: jobs.so_far(job)[:2] == (12, 68))
    while_it_goes_on = body(superintendent.get(address))
    assert "page 12 of about 68</p>" in while_it_goes_on
    monkeypatch.setattr(jobs, "WAITS_AFTER", -1)
    version = re.search(r"v=(\w+)", while_it_goes_on)[1]
    shown = body(superintendent.get(address, {"v": version}))  # the page asks, and is told something new
    assert "page 12 of about 68 (it waits while the laptop is busy with other work)</p>" in shown
    jobs.line.attempts[job.pk].child.stdin.close()
    eventually(lambda: state_of(job) not in jobs.OPEN)
    assert not jobs.waits_for_the_machine(job)


def test_a_job_that_was_under_way_when_the_server_stopped_is_made_when_it_starts_again():
    job = an_order(a_contest(), lists=("SR/overall",))
    PrintJob.objects.filter(pk=job.pk).update(state=State.RUNNING, attempt=1, done=3)
    keep_lines_going(threading.Event())
    eventually(lambda: state_of(job) not in jobs.OPEN)
    assert (job.state, job.attempt, job.problem) == (State.DONE, 2, "")


def test_a_finished_job_goes_with_its_file_and_an_open_one_stays():
    contest = a_contest()
    done, waiting = an_order(contest), an_order(contest)
    PrintJob.objects.filter(pk=done.pk).update(state=State.DONE)
    private(settings.DATA_FOLDER, "prints")
    jobs.file_of(done).write_bytes(b"%PDF")
    jobs.forget_job(done)
    jobs.forget_job(waiting)
    assert list(PrintJob.objects.all()) == [waiting]
    assert not jobs.file_of(done).exists()
    assert settings.DATA_FOLDER in jobs.file_of(waiting).parents


def test_a_file_that_windows_keeps_because_somebody_fetches_it_goes_with_the_next(monkeypatch):
    contest = a_contest()
    job = an_order(contest)
    PrintJob.objects.update(state=State.DONE)
    path = jobs.file_of(job)
    private(path.parent.parent, path.parent.name)
    path.write_bytes(b"names")

    def kept(self, missing_ok=False):
        raise PermissionError(13, "in use by another process", str(self))

    with monkeypatch.context() as fetched:
        fetched.setattr(Path, "unlink", kept)
        fetched.setattr(os, "remove", kept)
        jobs.forget_job(job)
        an_order(contest)
    assert path.exists() and not PrintJob.objects.filter(pk=job.pk).exists()
    an_order(contest)
    assert not path.exists()


def test_a_job_is_made_again_of_the_same_choice_as_the_contest_is_now():
    job = an_order(a_contest(), lists=("SR/overall",), copies=2)
    PrintJob.objects.filter(pk=job.pk).update(state=State.FAILED, revision=0)
    again = jobs.order_again(PrintJob.objects.get(pk=job.pk), "Sue")
    assert again.pk != job.pk
    assert (again.document, again.by) == ("results", "Sue")
    assert choice_from(again.choice) == Choice(lists=("SR/overall",), copies=2)
    assert (again.state, again.revision) == (State.WAITING, job.contest.revision)


def test_a_folder_that_cannot_be_written_to_fails_the_job_in_words_and_the_next_one_is_made(monkeypatch, tmp_path):
    monkeypatch.setattr(settings, "DATA_FOLDER", tmp_path)
    contest = a_contest()
    folder = tmp_path / "prints"
    folder.write_text("somebody else's")
    job = an_order(contest)
    jobs.go_on()
    eventually(lambda: state_of(job) not in jobs.OPEN)
    assert (job.state, job.problem) == (
        State.FAILED,
        "The data folder cannot be written to: File exists. Mend that, then print it again.",
    )
    folder.unlink()
    again = jobs.order_again(job, "Sue")
    jobs.go_on()
    eventually(lambda: state_of(again) == State.DONE)


def test_a_full_disk_fails_the_job_in_words(monkeypatch):
    def child(job, path):
        # A process may write no file of more than a few bytes: as good as a disk that is full.
        began = subprocess.Popen(
            ["sh", "-c", f"ulimit -f 1; exec {sys.executable} -m scoring.prints.child"],
            cwd=settings.BASE_DIR,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        began.stdin.write(json.dumps(jobs.told_to_child(job.contest_id, job.document, job.choice, path)) + "\n")
        began.stdin.flush()
        return began

    monkeypatch.setattr(jobs, "_child", child)
    job = an_order(a_contest())
    jobs.go_on()
    eventually(lambda: state_of(job) not in jobs.OPEN)
    assert job.state == State.FAILED
    assert job.problem == "The data folder cannot be written to: File too large. Mend that, then print it again."
    assert list(Path(settings.DATA_FOLDER, "prints").iterdir()) == []


def test_a_child_ends_with_whoever_started_it():
    job = an_order(a_contest(), "placing-cards")
    path = jobs.file_of(job)
    private(path.parent.parent, path.parent.name)
    child = jobs._child(job, path)
    with child:
        assert "total" in child.stdout.readline()  # it is at work
        child.stdin.close()
        assert child.wait(timeout=60) != 0
    assert not path.exists()


def test_the_newest_jobs_are_kept_and_older_ones_go_with_their_files(monkeypatch):
    monkeypatch.setattr(jobs, "KEPT", 2)
    contest = a_contest()
    private(Path(settings.DATA_FOLDER), "prints")
    orders = [an_order(contest) for _ in range(2)]
    for job in orders:
        jobs.file_of(job).write_bytes(b"%PDF")
    PrintJob.objects.filter(pk=orders[0].pk).update(state=State.DONE)
    newest = an_order(contest)
    assert set(PrintJob.objects.all()) == {orders[1], newest}
    assert not jobs.file_of(orders[0]).exists()
    assert jobs.file_of(orders[1]).exists()
    another = an_order(contest)  # jobs that wait stay, however old they are
    assert set(PrintJob.objects.all()) == {orders[1], newest, another}


def test_files_that_no_job_has_go_too_and_nothing_else_does():
    contest = a_contest()
    folder = private(Path(settings.DATA_FOLDER), "prints")
    gone = an_order(contest)
    files = [jobs.file_of(gone), folder / f"{gone.pk}.half", folder / "notes.txt"]
    for path in files:
        path.write_bytes(b"x")
    gone.delete()
    an_order(contest)
    assert [path.exists() for path in files] == [False, False, True]
