"""The print pages."""

import io
import re
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from contest.helpers.addresses import set_addresses
from contest.models import Duty
from scoring.models import PrintJob, Ribbon
from scoring.prints import jobs
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import choice_from
from scoring.prints.folders import private
from scoring.prints.pictures import picture_of
from scoring.prints.ribbons import fingerprint, ribbons_of
from scoring.prints.views import print_shop
from tests.factories import a_contest
from tests.trails import last_of

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


@pytest.fixture(autouse=True)
def nothing_is_made(monkeypatch):
    monkeypatch.setattr(jobs, "go_on", lambda: None)
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "")


@pytest.fixture
def contest():
    return a_contest()


def at(name, contest, *more):
    return reverse(name, args=[contest.pk, *more])


def an_order(**more):
    return {"submission": str(uuid4()), "paper": "a4", "copies": "1", **more}


def test_the_page_offers_every_document(superintendent, contest):
    page = superintendent.get(at("prints", contest))
    assert page.status_code == 200
    for document in DOCUMENTS.values():
        assert str(document.title) in page.content.decode()


def test_each_document_that_is_chosen_becomes_a_job(superintendent, contest):
    sent = an_order(
        documents=["results", "placing-cards"], lists=["SR/overall"], numbers="101, 102-103", copies="2"
    ) | {"order-placing-cards": "class"}
    assert superintendent.post(at("prints", contest), sent).status_code == 302
    first, second = PrintJob.objects.order_by("pk")
    assert first.by == second.by == "superintendent"
    made = {job.document: choice_from(job.choice) for job in (first, second)}
    assert made["results"].lists == ("SR/overall",)
    assert made["results"].numbers == ()
    assert made["placing-cards"].numbers == (101, 102, 103)
    assert made["placing-cards"].order == "class"
    assert made["placing-cards"].copies == 2


def test_numbers_for_walk_ups_are_proposed_and_ordered_as_they_are_chosen(superintendent, contest):
    largest = max(contest.contestants.values_list("number", flat=True))
    page = superintendent.get(at("prints", contest)).content.decode()
    assert re.search(rf'name="first"[^>]*value="{largest + 1}"|value="{largest + 1}"[^>]*name="first"', page)
    sent = an_order(documents=["spare-numbers", "results"], spares="3", first="500")
    assert superintendent.post(at("prints", contest), sent).status_code == 302
    spare, other = PrintJob.objects.order_by("pk")
    assert (spare.choice["spares"], spare.choice["first"]) == (3, 500)
    assert "spares" not in other.choice
    assert "3 spares; from 500" in superintendent.get(at("prints", contest)).content.decode()


def test_the_same_submission_twice_is_one_order(superintendent, contest):
    sent = an_order(documents=["results"])
    superintendent.post(at("prints", contest), sent)
    superintendent.post(at("prints", contest), sent)
    assert PrintJob.objects.count() == 1
    assert superintendent.post(at("prints", contest), sent | {"copies": "3"}).status_code == 422


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        ({}, "Choose at least one document."),
        ({"documents": ["nothing"]}, "There is no such document."),
        ({"documents": ["results"], "numbers": "101, x"}, "“x” is no number."),
        ({"documents": ["results"], "numbers": "999"}, "Nobody has number 999."),
        ({"documents": ["results"], "numbers": "9-5"}, "is no range of numbers"),
        ({"documents": ["results"], "copies": "0"}, "greater than or equal to 1"),
        ({"documents": ["results"], "lists": ["XX/overall"]}, "XX/overall"),
    ],
)
def test_wrong_input_is_said_beside_it_and_nothing_is_printed(superintendent, contest, wrong, why):
    page = superintendent.post(at("prints", contest), an_order(**wrong))
    assert page.status_code == 422
    assert why in page.content.decode()
    assert not PrintJob.objects.exists()


def test_without_the_library_the_page_says_so_and_offers_to_look(superintendent, contest, monkeypatch):
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "it lacks libpango-1.0-0")
    page = superintendent.get(at("prints", contest)).content.decode()
    assert "it lacks libpango-1.0-0" in page
    assert "Make the PDF files" not in page
    assert "Look" in page


@pytest.mark.parametrize("document", DOCUMENTS)
def test_without_the_library_a_document_is_a_page_of_the_choice(superintendent, contest, document, monkeypatch):
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "it lacks libpango-1.0-0")
    assert superintendent.get(at("print-look", contest, document)).status_code == 200
    looked = superintendent.post(at("print-look", contest, document), an_order(paper="letter"))
    assert looked.status_code == 200
    text = looked.content.decode()
    assert "paper-letter" in text
    assert "style=" not in text.replace("stylesheet", "")
    assert "<style" not in text
    assert str(settings.BASE_DIR) not in text


def test_join_sheets_are_printed_with_an_address_that_others_reach_or_not_at_all(superintendent, contest, monkeypatch):
    here = {"headers": {"Host": "localhost:8000"}}
    monkeypatch.setattr("contest.serving.addresses.lan_addresses", list)
    looked = superintendent.get(at("print-look", contest, "join-sheet"), **here).content.decode()
    assert "No other device can reach this laptop" in looked
    assert "localhost:8000" not in looked
    refused = superintendent.post(at("prints", contest), an_order(documents=["join-sheet"]), **here)
    assert refused.status_code == 422
    assert "join sheets would lead nowhere" in refused.content.decode()
    monkeypatch.setattr("contest.serving.addresses.lan_addresses", lambda: ["192.168.1.2", "10.0.0.7"])
    set_addresses(contest, "Sue", "10.0.0.7", "")
    looked = superintendent.get(at("print-look", contest, "join-sheet"), **here).content.decode()
    assert "http://10.0.0.7:8000/join/" in looked


def test_looking_with_a_wrong_choice_says_what_is_wrong(superintendent, contest):
    page = superintendent.post(at("print-look", contest, "packets"), an_order(numbers="77"))
    assert page.status_code == 422
    assert "Nobody has number 77." in page.content.decode()


def test_there_is_no_document_of_another_name(superintendent, contest):
    assert superintendent.get(at("print-look", contest, "nothing")).status_code == 404


def a_job(contest, state=PrintJob.State.DONE):
    job = PrintJob.objects.create(contest=contest, document="results", revision=1, by="x", state=state)
    private(settings.DATA_FOLDER, "prints")
    jobs.file_of(job).write_bytes(b"%PDF-1.7 made")
    return job


def test_a_finished_file_is_shown_and_never_kept(superintendent, contest):
    answer = superintendent.get(at("print-file", contest, a_job(contest).pk))
    assert b"".join(answer.streaming_content) == b"%PDF-1.7 made"
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Content-Disposition"].startswith("inline")
    assert "no-store" in answer.headers["Cache-Control"]


def test_a_file_of_another_contest_or_that_is_not_done_is_not_found(superintendent, contest):
    assert superintendent.get(at("print-file", a_contest(), a_job(contest).pk)).status_code == 404
    waiting = a_job(contest, PrintJob.State.RUNNING)
    assert superintendent.get(at("print-file", contest, waiting.pk)).status_code == 404
    gone = a_job(contest)
    jobs.file_of(gone).unlink()
    assert superintendent.get(at("print-file", contest, gone.pk)).status_code == 404


def test_the_jobs_are_asked_for_again_only_when_they_changed(superintendent, contest):
    job = a_job(contest, PrintJob.State.WAITING)
    answer = superintendent.get(at("prints-jobs", contest))
    version = answer.context["version"]
    assert superintendent.get(at("prints-jobs", contest), {"v": version}).status_code == 204
    PrintJob.objects.filter(pk=job.pk).update(state=PrintJob.State.DONE)
    assert superintendent.get(at("prints-jobs", contest), {"v": version}).status_code == 200


def test_a_job_is_cancelled_and_taken_off_the_list(superintendent, contest):
    job = a_job(contest, PrintJob.State.WAITING)
    superintendent.post(at("print-cancel", contest, job.pk), {"submission": str(uuid4())})
    job.refresh_from_db()
    assert job.state == PrintJob.State.CANCELLED
    superintendent.post(at("print-forget", contest, job.pk), {"submission": str(uuid4())})
    assert not PrintJob.objects.exists()
    again = superintendent.post(at("print-forget", contest, job.pk), {"submission": str(uuid4())})
    assert again.status_code == 302


def test_a_job_is_ordered_again_and_the_browser_is_led_to_the_files(superintendent, contest):
    job = a_job(contest, PrintJob.State.FAILED)
    sent = {"submission": str(uuid4())}
    answer = superintendent.post(at("print-again", contest, job.pk), sent)
    superintendent.post(at("print-again", contest, job.pk), sent)
    assert answer.headers["Location"] == at("prints", contest) + "#made"
    assert PrintJob.objects.filter(document=job.document, state=PrintJob.State.WAITING).count() == 1
    assert superintendent.post(at("print-again", a_contest(), job.pk), sent).status_code == 404


@pytest.mark.parametrize("name", ["print-again", "print-cancel", "print-forget"])
def test_what_changes_a_job_refuses_get(superintendent, contest, name):
    assert superintendent.get(at(name, contest, a_job(contest).pk)).status_code == 405


@pytest.mark.parametrize("duty", Duty)
def test_helpers_have_no_business_here(as_helper, contest, duty):
    client = as_helper(contest, duty)
    for name in ("prints", "prints-jobs", "print-awards", "print-picture"):
        assert client.get(at(name, contest)).status_code == 404


def ribbons(**typed):
    return {"submission": str(uuid4()), **{name.replace("_", "-"): value for name, value in typed.items()}}


def test_ribbons_are_named_by_the_contest(superintendent, contest):
    sent = ribbons(name_1="Champion", colour_1="purple", name_3="Third", shown=fingerprint({}))
    assert superintendent.post(at("print-awards", contest), sent).status_code == 302
    assert ribbons_of(contest) == {1: ("Champion", "purple"), 3: ("Third", "")}
    assert last_of(contest).what == "names and colours of the places"
    page = superintendent.get(at("print-awards", contest)).content.decode()
    assert 'value="Champion"' in page


def test_a_colour_without_a_name_is_refused_and_stays_typed(superintendent, contest):
    page = superintendent.post(at("print-awards", contest), ribbons(colour_2="mauve", shown=fingerprint({})))
    assert page.status_code == 422
    assert "Give the place a name too" in page.content.decode()
    assert 'value="mauve"' in page.content.decode()


def test_ribbons_that_somebody_changed_meanwhile_are_not_written_over(superintendent, contest):
    Ribbon.objects.create(contest=contest, place=1, name="Theirs")
    page = superintendent.post(at("print-awards", contest), ribbons(name_1="Mine", shown=fingerprint({})))
    assert page.status_code == 409
    text = page.content.decode()
    assert "Theirs" in text
    assert 'value="Mine"' in text
    again = ribbons(name_1="Mine", shown=page.context["shown"])
    assert superintendent.post(at("print-awards", contest), again).status_code == 302
    assert ribbons_of(contest) == {1: ("Mine", "")}


def a_file(data, name="seal.png"):
    return {"submission": str(uuid4()), "picture": SimpleUploadedFile(name, data)}


@pytest.mark.django_db(transaction=True)
def test_a_picture_is_kept_shown_and_taken_away(superintendent, contest):
    written = io.BytesIO()
    Image.new("RGB", (9, 9), "red").save(written, "PNG")
    assert superintendent.post(at("print-picture-change", contest), a_file(written.getvalue())).status_code == 302
    shown = superintendent.get(at("print-picture", contest))
    assert shown.headers["Content-Type"] == "image/png"
    assert "sandbox" in shown.headers["Content-Security-Policy"]
    b"".join(shown.streaming_content)
    looked = superintendent.get(at("print-look", contest, "award-sheets")).content.decode()
    assert at("print-picture", contest) in looked
    superintendent.post(at("print-picture-change", contest), {"submission": str(uuid4()), "remove": "1"})
    assert picture_of(contest.pk) is None
    assert superintendent.get(at("print-picture", contest)).status_code == 404


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("data", "why"), [(b"GIF89a", "That is no PNG, JPEG or SVG picture."), (b"\x89PNG" + bytes(4_000_000), "bytes")]
)
def test_what_is_no_picture_is_refused(superintendent, contest, data, why):
    page = superintendent.post(at("print-picture-change", contest), a_file(data))
    assert page.status_code == 422
    assert why in page.content.decode()


def test_no_file_is_refused(superintendent, contest):
    page = superintendent.post(at("print-picture-change", contest), {"submission": str(uuid4())})
    assert page.status_code == 422
    assert superintendent.get(at("print-picture-change", contest)).status_code == 405
