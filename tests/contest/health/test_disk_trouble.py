"""A disk that takes nothing, while judging runs: a sentence for whoever saves, nothing half-written, and everything
arrives once the disk is well again."""

import json
import sqlite3
from uuid import uuid4

import pytest
from django.db import DatabaseError, OperationalError, connection

from contest.copies.report import KeeperReport, write_report
from contest.disk import trouble
from contest.disk.trouble import kind_of
from contest.health import banner
from contest.models import Card, Contest, Duty, Reading, TrailEntry
from tests.factories import ContestantFactory, a_contest

pytestmark = [pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def data_folder(settings, tmp_path):
    settings.DATA_FOLDER = tmp_path / "data"
    settings.DATA_FOLDER.mkdir()


@pytest.fixture
def contest():
    return a_contest(contestants=tuple(ContestantFactory(number=number) for number in range(101, 301)), cards=())


@pytest.fixture
def ann(contest, as_helper):
    client = as_helper(contest, Duty.TABULATOR, "Ann")
    client.raise_request_exception = False
    return client


@pytest.fixture
def full_database():
    """The database takes no page more, as on a full disk."""
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")  # pages that tests before this one left empty would be taken first
        cursor.execute("PRAGMA max_page_count = 1")  # it cannot be smaller than it is
        yield lambda: cursor.execute("PRAGMA max_page_count = 1000000")
        cursor.execute("PRAGMA max_page_count = 1000000")


def send(client, contest, number, submission=None):
    card = {"submission": str(submission or uuid4()), "by": "Ann", "class_number": 1, "number": number}
    body = json.dumps({**card, "placing": "3124"})
    address = f"/contests/{contest.pk}/desk/readings/"
    return client.post(address, body, content_type="application/json", headers={"accept": "application/json"})


def counts():
    return Reading.objects.count(), Card.objects.count(), TrailEntry.objects.count(), Contest.objects.get().revision


@pytest.mark.sqlite
def test_readings_are_refused_in_words_kept_whole_and_arrive_when_there_is_room(ann, contest, full_database):
    saved, refused = {}, {}
    for number in range(101, 301):
        submission = uuid4()
        before = counts()
        answer = send(ann, contest, number, submission)
        if answer.status_code == 200:
            saved[submission] = number
            continue
        assert answer.status_code == 507
        assert answer.json() == {"kind": "not-saved", "text": "The disk of the main laptop is full"}
        assert counts() == before, "something half-written stayed"
        refused[submission] = number
    assert saved and refused
    assert Reading.objects.count() == len(saved)
    assert trouble.trouble().kind == "full"

    full_database()
    for submission, number in refused.items():  # as the desk does by itself
        assert send(ann, contest, number, submission).json()["kind"] in ("saved", "settled")
    assert trouble.trouble() is None
    assert set(Reading.objects.values_list("submission", flat=True)) == {*saved, *refused}
    assert counts()[0] == 200
    print(f"full disk: {len(saved)} readings saved, {len(refused)} refused in words, all 200 there afterwards")


def failing(monkeypatch, error):
    def fail(*args, **kwargs):
        raise error

    monkeypatch.setattr("contest.desk.views.read_card", fail)


def django_error(code):
    cause = sqlite3.OperationalError("told by its code alone")
    cause.sqlite_errorcode = code
    error = OperationalError("told by its cause")
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (django_error(sqlite3.SQLITE_FULL), "is full"),
        (django_error(sqlite3.SQLITE_READONLY_DBMOVED), "can only be read"),
        (django_error(sqlite3.SQLITE_IOERR_FSYNC), "fails"),
        (django_error(sqlite3.SQLITE_CORRUPT), "is damaged"),
        (django_error(sqlite3.SQLITE_BUSY), "is busy"),
        (OSError(28, "No space left on device"), "is full"),
        (OSError(30, "Read-only file system"), "can only be read"),
        (OSError(5, "Input/output error"), "fails"),
    ],
    ids=["full", "read-only", "io", "damaged", "busy", "full file", "read-only file", "failing file"],
)
def test_each_trouble_is_named_to_the_desk(ann, contest, monkeypatch, error, words):
    failing(monkeypatch, error)
    answer = send(ann, contest, 101)
    assert answer.status_code == 507
    assert words in answer.json()["text"]


@pytest.mark.parametrize("error", [ValueError("a mistake"), DatabaseError("a mistake"), FileNotFoundError(2, "gone")])
def test_another_mistake_stays_a_mistake(ann, contest, monkeypatch, error):
    failing(monkeypatch, error)
    assert send(ann, contest, 101).status_code == 500
    assert trouble.trouble() is None


def test_a_busy_moment_is_no_banner(superintendent, ann, contest, monkeypatch):
    failing(monkeypatch, django_error(sqlite3.SQLITE_BUSY))
    send(ann, contest, 101)
    assert b"Act now" not in superintendent.get("/").content


def test_the_superintendent_reads_it_on_every_page_until_it_is_over(superintendent, ann, contest, monkeypatch):
    with monkeypatch.context() as patch:
        failing(patch, django_error(sqlite3.SQLITE_FULL))
        send(ann, contest, 101)
        for page in ("/", f"/contests/{contest.pk}/", "/copies/"):
            shown = superintendent.get(page).content.decode()
            assert "Act now" in shown
            assert "Nothing can be saved: the disk is full." in shown
        assert "Act now" not in ann.get(f"/contests/{contest.pk}/desk/").content.decode()
    assert send(ann, contest, 101).status_code == 200
    assert "Act now" not in superintendent.get("/").content.decode()


def test_a_form_that_is_not_saved_keeps_what_was_typed(superintendent, contest, monkeypatch):
    superintendent.raise_request_exception = False

    def fail(*args, **kwargs):
        raise django_error(sqlite3.SQLITE_FULL)

    monkeypatch.setattr("contest.web.submissions.once", fail)
    answer = superintendent.post("/copies/now/", {"submission": uuid4(), "name": "Frost & Fair", "place": "Hall 3"})
    shown = answer.content.decode()
    assert answer.status_code == 507
    assert "Not saved" in shown
    assert 'name="name" value="Frost &amp; Fair"' in shown
    assert "Send it again" in shown


def test_a_part_of_a_page_is_told_beside_what_was_typed(superintendent, contest, monkeypatch):
    def fail(*args, **kwargs):
        raise django_error(sqlite3.SQLITE_READONLY)

    monkeypatch.setattr("contest.web.submissions.once", fail)
    answer = superintendent.post("/copies/now/", {"submission": uuid4()}, headers={"hx-request": "true"})
    assert answer.status_code == 507
    assert answer.headers["HX-Retarget"] == "#not-saved"
    assert "<html" not in answer.content.decode()


def test_what_a_page_can_do_without_does_not_stop_it(ann, contest, monkeypatch):
    def fail(*args, **kwargs):
        raise django_error(sqlite3.SQLITE_FULL)

    with trouble.not_worth_a_page():
        fail()
    assert trouble.trouble().kind == "full"
    with pytest.raises(ValueError, match="another"), trouble.not_worth_a_page():
        raise ValueError("another")


def test_a_cause_that_goes_round_ends():
    one, other = ValueError(), ValueError()
    one.__cause__, other.__cause__ = other, one
    assert kind_of(one) == ""


def test_little_room_is_a_notice_and_no_alarm(superintendent, contest, monkeypatch):
    monkeypatch.setattr(banner, "_room", (float("-inf"), 0))
    monkeypatch.setattr(banner, "room_left", lambda folder: 499_000_000)
    shown = superintendent.get("/").content.decode()
    assert "About 490 MB left" in shown
    assert "Act now" not in shown
    monkeypatch.setattr(banner, "_room", (float("-inf"), 0))
    monkeypatch.setattr(banner, "room_left", lambda folder: 500_000_000)
    assert "MB left" not in superintendent.get("/").content.decode()
    monkeypatch.setattr(banner, "_room", (float("-inf"), 0))
    monkeypatch.setattr(banner, "room_left", lambda folder: 19_000_000)
    assert "Act now" in superintendent.get("/").content.decode()


@pytest.mark.parametrize(
    ("told", "words", "urgent"),
    [
        (KeeperReport(at="2026-04-25T12:00:00+00:00", age=60.0), "", False),
        (KeeperReport(at="2026-04-25T12:00:00+00:00", age=3600.0), "", False),  # nothing has changed since
        (
            KeeperReport(at="2026-04-25T12:00:00+00:00", age=1000.0, behind=901.0),
            "The last good copy is 16 minutes old, and things have changed",
            True,
        ),
        (KeeperReport(age=None, trouble="no room"), "There is no good copy: no room", True),
        (
            KeeperReport(at="2026-04-25T12:00:00+00:00", age=60.0, away="/media/stick", shelf="/data/copies"),
            "/media/stick is not there",
            False,
        ),
    ],
    ids=["fresh", "old but complete", "behind", "none", "away"],
)
def test_the_state_of_the_copies_is_told(superintendent, contest, told, words, urgent):
    write_report(told)
    shown = superintendent.get("/").content.decode()
    assert words in shown
    assert ("Act now" in shown) == urgent


def test_the_banner_is_asked_for_and_silent_while_it_is_shown(superintendent, ann, contest):
    first = superintendent.get("/health/?v=old")
    version = banner.banner().version
    assert first.status_code == 200
    assert f'data-version="{version}"' in first.content.decode()
    assert superintendent.get(f"/health/?v={version}").status_code == 204
    assert ann.get("/health/").status_code == 404


@pytest.mark.parametrize(
    ("sqlstate", "kind"), [("53100", "full"), ("25006", "read-only"), (None, "away"), ("23505", "")], ids=str
)
def test_a_servers_trouble_is_told_by_its_state(sqlstate, kind):
    cause = Exception()
    cause.sqlstate = sqlstate
    error = OperationalError("told by its cause")
    error.__cause__ = cause
    assert kind_of(error) == kind
