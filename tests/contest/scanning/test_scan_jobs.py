"""Pages on their way: read by a process of its own, stopped, and gone on with."""

import threading
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from contest import kept
from contest.models import Scan
from contest.scanning import jobs
from contest.scanning.folder import Uploaded, files_of, folder_of
from contest.scanning.rules import change_rules
from tests.contest.changes.disk import waits_for_the_disk
from tests.factories import a_contest
from tests.waiting import eventually

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def contest():
    made = a_contest()
    change_rules(made, "Sue", on=True)
    return made


def picture(shade):
    data = BytesIO()
    Image.new("L", (600, 800), shade).save(data, "PNG")
    return Uploaded(SimpleUploadedFile("page.png", data.getvalue()))


def after_work(scan):
    jobs.go_on()
    # The thread itself must have ended, not only its work: it holds a connection to the last.
    eventually(lambda: all(thread.name != "scans" for thread in threading.enumerate()))
    scan.refresh_from_db()
    return scan.state, scan.page, scan.trouble


def test_pages_are_read_one_after_another_and_their_files_go(contest):
    scan = jobs.bring(contest, [picture(250), picture(240)], "page.png", "Ann")
    assert after_work(scan) == ("done", 2, "")
    assert scan.pages == 2
    assert kept.names_in(folder_of(scan)) == []
    told = contest.trail.filter(what__startswith="scan_").values_list("what", "values__page")
    assert list(told.order_by("pk"))[1:] == [
        ("scan_brought", None),
        ("scan_page_read", 1),
        ("scan_page_read", 2),
        ("scan_read", None),
    ]


def test_whatever_stopped_them_they_go_on_at_the_next_page(contest):
    scan = Scan(contest=contest, digest="cd" * 32, by="Ann", state=Scan.State.READING, pages=3, page=2)
    jobs.keep(scan, [picture(250), picture(240), picture(230)])
    scan.save()  # as a laptop that was switched off leaves it
    assert after_work(scan) == ("done", 3, "")
    assert list(contest.trail.filter(what="scan_page_read").values_list("values__page", flat=True)) == [3]


def test_no_page_waits_for_the_disk_and_the_end_does_while_the_files_are_there(contest, monkeypatch):
    waited = []

    def noted(name):
        made = getattr(jobs, name)

        def noting(scan, *args, **more):
            waited.append((name, waits_for_the_disk(), len(files_of(scan))))
            return made(scan, *args, **more)

        return noting

    for name in ("take_page", "_finish"):
        monkeypatch.setattr(jobs, name, noted(name))
    scan = jobs.bring(contest, [picture(250), picture(240)], "page.png", "Ann")
    assert after_work(scan) == ("done", 2, "")
    assert waited == [("take_page", False, 2), ("take_page", False, 2), ("_finish", True, 2)]


def test_somebody_who_was_cut_off_and_replaced_leaves_the_files_to_whoever_reads_them_now(contest, monkeypatch):
    monkeypatch.setattr(jobs, "go_on", lambda: None)
    scan = jobs.bring(contest, [picture(250)], "page.png", "Ann")
    replaced = jobs.line._take(Scan.objects.get(pk=scan.pk))
    Scan.objects.update(state=Scan.State.WAITING)
    reads = jobs.line._take(Scan.objects.get(pk=scan.pk))
    jobs._finish(scan, replaced, "")
    assert (Scan.objects.get(pk=scan.pk).state, len(files_of(scan))) == ("reading", 1)
    jobs._finish(scan, reads, "")
    assert (Scan.objects.get(pk=scan.pk).state, len(files_of(scan))) == ("done", 0)


def test_what_is_no_page_is_told_and_can_be_left_out(contest):
    letter = Uploaded(SimpleUploadedFile("letter.txt", b"Dear Sir or Madam"))
    scan = jobs.bring(contest, [picture(250), letter, picture(240)], "page.png", "Ann")
    assert after_work(scan) == ("failed", 1, "unknown")
    assert len(files_of(scan)) == 3
    jobs.try_again(scan, "Ann", skip=True)
    assert after_work(scan) == ("done", 3, "")
    assert scan.skipped == 1


def test_a_page_that_takes_too_long_is_given_up(contest, monkeypatch):
    monkeypatch.setattr(jobs, "A_PAGE", 0.0)
    scan = jobs.bring(contest, [picture(250)], "page.png", "Ann")
    assert after_work(scan) == ("failed", 0, "too_long")


def test_files_that_another_laptop_has_are_asked_for_again(contest):
    scan = Scan.objects.create(contest=contest, digest="cd" * 32, by="Ann", pages=3, page=2)
    assert after_work(scan) == ("failed", 2, "gone")
