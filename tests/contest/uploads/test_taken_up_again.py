"""A file whose process ended is taken up again: nothing is lost, and nothing is there twice."""

from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils.translation import override

from contest.bin.keeping import delete_contest
from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.entries.bringing import LOOKING_AT_ENTRIES
from contest.models import BroughtFile, Contest, PracticeClass, Submission
from contest.practice.bringing import putting_a_photograph
from contest.practice.making import make_practice
from contest.records import load_record, saving, sweep_abandoned
from contest.setup.bringing import making_a_contest
from contest.uploads import brought, working
from contest.uploads.files import file_of, tidy
from tests.contest.uploads.cast import READ, bring, demo_files, zipped
from tests.contest.uploads.test_pictures import photograph
from tests.factories import a_contest
from tests.waiting import eventually

pytestmark = pytest.mark.django_db(transaction=True)
State = BroughtFile.State
DEMO = read_book(DEMO_BOOK)


class Killed(BaseException):
    """Stands for the end of a process: nothing that comes after it is done."""


@pytest.fixture(autouse=True)
def nobody_works(monkeypatch):
    """What is brought waits, until a test has one worked on in its own thread."""
    monkeypatch.setattr(brought, "AT_ONCE", 0.0)
    monkeypatch.setattr(working.line, "go_on", lambda works=False: None)


def brought_book(key=None):
    return bring("book", zipped(demo_files()), "fair.zip", key, ["a form"], making_a_contest("Sue"))


def work_on(row):
    """As a thread of a process does."""
    row.refresh_from_db()
    working.line.try_one(row)
    row.refresh_from_db()


def killed_at(monkeypatch, row, module, name):
    """Work on a file, by a process that is killed when it comes to a function."""

    def kill(*_args, **_kwargs):
        raise Killed

    with monkeypatch.context() as patched:
        patched.setattr(module, name, kill)
        patched.setattr("contest.records.saving.sweep", lambda pk: None)
        patched.setattr("contest.setup.bringing.sweep", lambda pk: None)
        with pytest.raises(Killed):
            work_on(row)
    row.refresh_from_db()
    assert row.state == State.READING  # as nobody could say more


def taken_up_again(row):
    working.line.take_up_again()
    row.refresh_from_db()
    assert row.state == State.WAITING
    work_on(row)


@pytest.mark.parametrize(
    ("module", "name"),
    [(working, "_read"), (saving, "insertion"), (working, "once_by_digest")],
    ids=["reading", "saving", "after all is saved and before that is said"],
)
def test_a_book_is_one_contest_wherever_it_was_killed(monkeypatch, module, name):
    row = brought_book()
    killed_at(monkeypatch, row, module, name)
    assert not Contest.objects.exists()
    taken_up_again(row)
    contest = Contest.objects.get()
    assert (row.state, row.attempt, row.leads_to) == (State.DONE, 2, f"/contests/{contest.pk}/setup/")
    assert load_record(contest.pk)[1] == DEMO
    Contest.every.exclude(loading_at=None).update(loading_at="2000-01-01T00:00Z")
    sweep_abandoned()
    assert Contest.every.count() == 1  # what was begun in vain goes with all that was cut off
    assert not (settings.DATA_FOLDER / file_of(row)).exists()


def test_killed_just_after_that_was_said_it_is_not_done_again(monkeypatch):
    row = brought_book()

    def kill(_name):
        raise Killed

    with monkeypatch.context() as patched, pytest.raises(Killed):
        patched.setattr(working.kept, "drop", kill)
        work_on(row)
    working.line.take_up_again()
    work_on(row)
    assert (row.state, row.attempt, Contest.every.count()) == (State.DONE, 1, 1)
    tidy(at_start=True)
    assert not (settings.DATA_FOLDER / file_of(row)).exists()


def test_what_was_replaced_meanwhile_saves_nothing():
    """A process that was cut off goes on, and another has begun anew."""
    row = brought_book()
    show = working.OnItsWay.end_with

    def late(self, work, address):
        BroughtFile.every.update(state=State.WAITING)
        BroughtFile.every.update(state=State.READING, attempt=row.attempt + 2)
        return show(self, work, address)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(working.OnItsWay, "end_with", late)
        work_on(row)
    assert (row.state, row.attempt, Contest.every.count()) == (State.READING, 2, 0)
    assert (settings.DATA_FOLDER / file_of(row)).exists()  # the other reads it


def test_a_photograph_is_there_once(monkeypatch):
    judged = make_practice("Steers", "1234", 12, keeps=False, by="Sue").classes.get()
    row = bring(
        "photograph", photograph(), content=["a form"], purpose=putting_a_photograph(judged, "3", "side", "red")
    )
    killed_at(monkeypatch, row, working, "once_by_digest")
    assert not judged.pictures.exists()
    taken_up_again(row)
    assert row.leads_to == f"/practices/{judged.practice_id}/classes/1/pictures/"
    assert judged.pictures.get().says == "red"
    assert Submission.objects.filter(pk=row.key).count() == 1


def test_after_five_it_is_given_up_in_words_for_whoever_looks(monkeypatch, superintendent):
    row = brought_book()
    for _ in range(working.MOST_ATTEMPTS):
        killed_at(monkeypatch, row, working, "_read")
        working.line.take_up_again()
        row.refresh_from_db()
    assert row.state == State.FAILED
    assert "each process that read it ended" in superintendent.get(f"/uploads/{row.key}/").content.decode()
    with override("es"):
        assert row.said_trouble != row.trouble
    tidy(at_start=True)
    assert not (settings.DATA_FOLDER / file_of(row)).exists()


def test_what_it_was_for_may_be_gone_by_then(monkeypatch):
    judged = make_practice("Steers", "1234", 12, keeps=False, by="Sue").classes.get()
    row = bring("photograph", photograph(), purpose=putting_a_photograph(judged, "3", "side", "red"))
    PracticeClass.objects.all().delete()
    work_on(row)
    assert (row.state, "is gone by now" in row.trouble) == (State.FAILED, True)


def test_a_contest_in_the_bin_takes_nothing_in():
    contest = a_contest()
    file = SimpleUploadedFile("e.csv", b"number,name\n1,Ann\n")
    row = brought.bring(uuid4(), "list", file, None, "/back/", LOOKING_AT_ENTRIES, contest)
    delete_contest(contest, contest.name, "Sue")
    work_on(row)
    assert (row.state, "is gone by now" in row.trouble) == (State.FAILED, True)


def test_without_its_file_it_says_so():
    row = bring("list", b"a,b")
    (settings.DATA_FOLDER / file_of(row)).unlink()
    work_on(row)
    assert "No such file" in row.trouble


def test_a_restart_takes_it_up_again(monkeypatch):
    """What begins with a process looks after what another left behind."""
    row = bring("list", b"a,b")
    killed_at(monkeypatch, row, working, "_read")
    monkeypatch.undo()
    working.line.go_on()
    eventually(lambda: BroughtFile.objects.get(pk=row.pk).is_over)
    row.refresh_from_db()
    assert (row.state, READ[row.key]) == (State.DONE, [["", "a,b"]])
