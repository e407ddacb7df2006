"""A file on its way: how far it is, an end to it, others that wait, and what a restart leaves."""

import os
import re
import shutil
from datetime import timedelta
from threading import Event
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from contest.book import read_book
from contest.demo import DEMO_BOOK
from contest.models import BroughtFile, Card, Contest, Organisation
from contest.models.organisations import Reach, reaching
from contest.records import load_record, saving
from contest.uploads import brought
from contest.uploads.brought import NotNow, cancel
from contest.uploads.files import file_of, tidy
from tests.contest.uploads.cast import STUCK, bring, demo_files, files_there, read_by, svg, zipped
from tests.factories import a_contest
from tests.pages import body
from tests.waiting import eventually

pytestmark = pytest.mark.django_db(transaction=True)
DEMO = read_book(DEMO_BOOK)
State = BroughtFile.State
CANCELLED, DONE, READING, WAITING = State.CANCELLED, State.DONE, State.READING, State.WAITING


def states():
    return sorted(BroughtFile.objects.values_list("state", flat=True))


@pytest.fixture
def stuck(monkeypatch):
    """Files take longer than anybody waits."""
    monkeypatch.setattr(brought, "AT_ONCE", 0.0)
    return read_by(monkeypatch, STUCK)


def send_book(client, data=None, key=None):
    book = SimpleUploadedFile("fair.zip", data or zipped(demo_files()))
    return client.post("/contests/new/", {"way": "book", "book-book": book, "submission": str(key or uuid4())})


class TestProgress:
    def test_the_page_says_how_far_it_is(self, superintendent, stuck):
        key = uuid4()
        assert send_book(superintendent, key=key).headers["Location"] == f"/uploads/{key}/"
        eventually(lambda: brought.find(key).at)
        page = body(superintendent.get(f"/uploads/{key}/"))
        assert "reading cards.csv, row 12,000 of 30,000" in page
        assert "fair.zip" in page
        assert re.search('<noscript>\\s*<meta http-equiv="refresh"', page)

    def test_a_poll_is_told_only_what_is_new(self, superintendent, stuck):
        key = uuid4()
        send_book(superintendent, key=key)
        eventually(lambda: brought.find(key).at)
        version = brought.find(key).version
        assert superintendent.get(f"/uploads/{key}/", {"v": version}).status_code == 204
        part = body(superintendent.get(f"/uploads/{key}/", {"v": "another"}))
        assert part.startswith('<div id="brought"')

    def test_while_it_is_saved_rows_are_counted(self, superintendent, monkeypatch):
        monkeypatch.setattr(brought, "AT_ONCE", 0.0)
        key, halfway, go_on = uuid4(), Event(), Event()
        insert = saving.insertion

        def slowly(rows):
            if isinstance(rows[0], Card):
                halfway.set()
                assert go_on.wait(60)
            return insert(rows)

        monkeypatch.setattr(saving, "insertion", slowly)
        send_book(superintendent, key=key)
        assert halfway.wait(60)
        page = body(superintendent.get(f"/uploads/{key}/"))
        go_on.set()
        assert "saving row " in page
        assert f" of about {saving._rows_of(DEMO):,}" in page
        assert not Contest.objects.exists()
        eventually(lambda: brought.find(key).is_over)
        assert (
            superintendent.get(f"/uploads/{key}/").headers["Location"] == f"/contests/{Contest.objects.get().pk}/setup/"
        )

    def test_once_it_is_done_the_page_goes_on(self, superintendent):
        key = uuid4()
        assert send_book(superintendent, key=key).status_code == 302
        contest = Contest.objects.get()
        assert superintendent.get(f"/uploads/{key}/").headers["Location"] == f"/contests/{contest.pk}/setup/"
        polled = superintendent.get(f"/uploads/{key}/", {"v": "x"}, headers={"HX-Request": "true"})
        assert polled.headers["HX-Redirect"] == f"/contests/{contest.pk}/setup/"

    def test_a_book_that_fails_after_a_while_lists_its_problems(self, superintendent, monkeypatch):
        monkeypatch.setattr(brought, "AT_ONCE", 0.0)
        key = uuid4()
        send_book(superintendent, zipped({**demo_files(), "cards.csv": b"class,number,placing\n99,101,3124\n"}), key)
        eventually(lambda: brought.find(key).is_over)
        page = body(superintendent.get(f"/uploads/{key}/"))
        assert "Nothing was saved: the book has problems." in page
        assert "class &#x27;99&#x27; is not defined" in page
        assert 'href="/contests/new/"' in page

    def test_a_list_that_takes_a_while_leads_to_what_it_would_do(self, superintendent, monkeypatch):
        monkeypatch.setattr(brought, "AT_ONCE", 0.0)
        contest = a_contest()
        at = f"/contests/{contest.pk}/entries/load/"
        sent = superintendent.post(at, {"file": SimpleUploadedFile("e.csv", b"number,name\n771,Ann Bell\n")})
        page = sent.headers["Location"]
        eventually(lambda: superintendent.get(page).status_code == 302)
        shown = superintendent.get(superintendent.get(page).headers["Location"])
        assert "771" in body(shown) and "Ann" in body(shown)
        other = a_contest()
        key = page.split("/")[2]
        assert superintendent.get(f"/contests/{other.pk}/entries/load/{key}/").status_code == 302

    def test_it_is_the_superintendents_alone(self, superintendent, client, stuck):
        key = uuid4()
        send_book(superintendent, key=key)
        assert client.get(f"/uploads/{key}/").status_code == 302
        assert client.post(f"/uploads/{key}/cancel/").status_code == 302
        assert not brought.find(key).is_over
        assert superintendent.get(f"/uploads/{key}/cancel/").status_code == 405


class TestCancel:
    def test_reading_stops(self, superintendent, stuck):
        key = uuid4()
        send_book(superintendent, key=key)
        eventually(lambda: brought.find(key).at)
        assert superintendent.post(f"/uploads/{key}/cancel/").headers["Location"] == f"/uploads/{key}/"
        assert "cancelled: nothing was saved" in body(superintendent.get(f"/uploads/{key}/"))
        eventually(lambda: stuck[0].poll() is not None)
        assert files_there() == []

    def test_saving_stops_and_nothing_of_it_stays(self, superintendent, monkeypatch):
        monkeypatch.setattr(brought, "AT_ONCE", 0.0)
        key, halfway, go_on = uuid4(), Event(), Event()
        insert = saving.insertion

        def slowly(rows):
            if isinstance(rows[0], Card):
                halfway.set()
                assert go_on.wait(60)
            return insert(rows)

        monkeypatch.setattr(saving, "insertion", slowly)
        send_book(superintendent, key=key)
        assert halfway.wait(60)
        cancel(brought.find(key))
        go_on.set()
        assert brought.find(key).state == CANCELLED
        eventually(lambda: not Contest.every.exists())
        assert not Card.objects.exists()

    def test_too_late_it_changes_nothing(self, superintendent):
        key = uuid4()
        send_book(superintendent, key=key)
        superintendent.post(f"/uploads/{key}/cancel/")
        assert load_record(Contest.objects.get().pk)[1] == DEMO


class TestSeveral:
    def test_two_are_read_at_once_and_the_third_waits(self, stuck):
        first, _second, _third = (bring("list", b"a,b") for _ in range(3))
        eventually(lambda: len(stuck) == 2)
        eventually(lambda: states() == [READING, READING, WAITING])
        waiting = BroughtFile.objects.get(state=WAITING)
        cancel(first)
        eventually(lambda: brought.find(waiting.key).state == READING)

    def test_one_that_waits_can_be_cancelled(self, stuck):
        made = [bring("list", b"a,b") for _ in range(3)]
        eventually(lambda: states() == [READING, READING, WAITING])
        for one in reversed(made):  # or it would begin in a seat that became free
            cancel(one)
        assert states() == [CANCELLED] * 3
        eventually(lambda: all(child.poll() is not None for child in stuck))
        assert len(stuck) == 2

    def test_no_more_are_taken_in_than_can_be_waited_for(self, stuck):
        for _ in range(brought.MOST_OPEN):
            bring("list", b"a,b")
        with pytest.raises(NotNow, match="8 files are being read already"):
            bring("list", b"a,b")

    def test_one_organisation_holds_up_no_other(self, stuck):
        for _ in range(brought.MOST_OPEN):
            bring("list", b"a,b")
        other = Organisation.objects.create(name="Quill Creek 4-H")
        with reaching(Reach(other.pk)):
            assert bring("list", b"a,b").state == WAITING

    def test_the_same_file_sent_twice_makes_one_contest(self, superintendent):
        key, data = uuid4(), zipped(demo_files())
        first, second = (send_book(superintendent, data, key).headers["Location"] for _ in range(2))
        assert first == second
        assert Contest.every.count() == 1

    def test_the_same_id_with_another_file_is_refused(self, superintendent):
        key = uuid4()
        send_book(superintendent, key=key)
        assert send_book(superintendent, zipped({}), key).status_code == 422
        assert Contest.every.count() == 1

    def test_two_books_at_once_are_two_contests(self, superintendent, monkeypatch):
        monkeypatch.setattr(brought, "AT_ONCE", 0.0)
        keys = [uuid4(), uuid4()]
        for key in keys:
            send_book(superintendent, key=key)
        eventually(lambda: states() == [DONE, DONE])
        assert [load_record(contest.pk)[1] for contest in Contest.objects.all()] == [DEMO, DEMO]


class TestLongAfter:
    def test_one_of_which_nothing_is_known_says_so(self, superintendent):
        page = body(superintendent.get(f"/uploads/{uuid4()}/"))
        assert "Nothing is known of this file." in page
        assert "bring it again" in page
        part = body(superintendent.get(f"/uploads/{uuid4()}/", {"v": "x"}))
        assert part.startswith('<div id="brought"') and "data-poll" not in part

    def test_one_that_was_done_before_leads_to_its_contest(self, superintendent):
        key, data = uuid4(), zipped(demo_files())
        send_book(superintendent, data, key)
        long_ago()
        assert not BroughtFile.every.exists()
        setup = f"/contests/{Contest.objects.get().pk}/setup/"
        assert superintendent.get(f"/uploads/{key}/").headers["Location"] == setup
        assert send_book(superintendent, data, key).headers["Location"] == setup
        assert Contest.every.count() == 1

    def test_nothing_is_left_of_it_then(self, superintendent):
        send_book(superintendent, zipped({**demo_files(), "cards.csv": b"class,number,placing\n99,101,3124\n"}))
        assert [path.suffix for path in eventually(files_there)] == [".problems"]
        long_ago()
        assert (BroughtFile.every.count(), files_there()) == (0, [])

    def test_one_that_is_on_its_way_stays_however_long_that_takes(self, stuck):
        made = bring("list", b"a,b")
        BroughtFile.every.update(brought_at=timezone.now() - timedelta(days=3))
        tidy(at_start=True)
        assert files_there() == [settings.DATA_FOLDER / file_of(made)]
        assert brought.find(made.key)

    def test_a_file_that_has_no_row_goes_unless_that_is_about_to_be_written(self):
        left = settings.DATA_FOLDER / "uploads" / f"{uuid4()}-"
        left.parent.mkdir(parents=True, exist_ok=True)
        left.write_bytes(b"number,name\n1,Ann\n")
        tidy()
        assert left.exists()
        os.utime(left, (0, 0))
        tidy()
        assert not left.exists()

    def test_at_a_start_all_go_and_what_an_older_version_left(self):
        left, older = (settings.DATA_FOLDER / "uploads" / str(uuid4()) for _ in range(2))
        older.mkdir(parents=True)
        for path in (left, older / "file"):
            path.write_bytes(b"number,name\n1,Ann\n")
        tidy(at_start=True)
        assert not left.exists() and not older.exists()

    def test_files_lie_where_nobody_else_can_look(self, stuck):
        shutil.rmtree(settings.DATA_FOLDER / "uploads", ignore_errors=True)  # which other tests made
        path = settings.DATA_FOLDER / file_of(bring("list", b"a,b"))
        assert (path.stat().st_mode | path.parent.stat().st_mode) & 0o077 == 0


def long_ago():
    BroughtFile.every.update(brought_at=timezone.now() - timedelta(days=2))
    tidy()


class TestPicture:
    def test_one_that_takes_a_while_is_used_in_the_end(self, superintendent, monkeypatch):
        monkeypatch.setattr(brought, "AT_ONCE", 0.0)
        contest = a_contest()
        at = f"/contests/{contest.pk}/prints/"
        picture = SimpleUploadedFile("seal.svg", svg('<rect width="3" height="3"/>'))
        sent = superintendent.post(f"{at}picture/change/", {"picture": picture, "submission": str(uuid4())})
        page = sent.headers["Location"]
        assert page.startswith("/uploads/")
        eventually(lambda: superintendent.get(page).status_code == 302)
        assert superintendent.get(page).headers["Location"] == f"{at}awards/"
        kept = superintendent.get(f"{at}picture/")
        assert b"<rect" in b"".join(kept.streaming_content)
        kept.close()
