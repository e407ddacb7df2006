"""Looking at the real pages before they are printed."""

from pathlib import Path
from uuid import uuid4

import pytest
from django.conf import settings
from django.urls import reverse
from PIL import Image

from scoring.models import PrintJob
from scoring.prints import jobs, looks
from scoring.prints.choice import choice_from
from scoring.prints.views import print_shop
from tests.factories import a_contest
from tests.scoring.prints.papers import Pdf
from tests.waiting import eventually

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.any_database]


@pytest.fixture(autouse=True)
def nobody_is_left_looking(monkeypatch):
    monkeypatch.setattr(jobs, "go_on", lambda: None)
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "")
    yield
    made = list(looks._looks.values())
    looks.forget_looks()
    eventually(lambda: all(look.ended for look in made))


def look_at(superintendent, contest, document, **typed):
    sent = {"paper": "a4", "copies": "3", **typed}
    answer = superintendent.post(reverse("print-look", args=[contest.pk, document]), sent)
    assert answer.status_code == 302
    return answer.headers["Location"]


def the_look(address):
    look = looks._looks[address.rstrip("/").rpartition("/")[2]]
    eventually(lambda: look.ended)
    assert look.problem == ""
    return look


def test_the_pages_are_those_that_are_printed_and_the_file_is_ordered_from_there(superintendent):
    contest = a_contest()
    address = look_at(superintendent, contest, "packets", whose="barley", paper="letter")
    assert "The pages are being made." in superintendent.get(address).content.decode()
    look = the_look(address)
    page = superintendent.get(address).content.decode()
    assert "This is all: 4 pages, of revision" in page
    assert page.count("<img src=") == 4
    picture = superintendent.get(f"{address}2.png")
    assert picture.headers["Content-Type"] == "image/png"
    with Image.open(look.page(2)) as drawn:
        assert drawn.size == (918, 1188)
    b"".join(picture.streaming_content)
    made = Pdf(b"".join(superintendent.get(f"{address}pages.pdf").streaming_content))
    assert "Page 2 of 4" in made.text and "Given101x" in made.text
    assert superintendent.get(f"{address}5.png").status_code == 404
    assert not PrintJob.objects.exists()
    sent = {"submission": str(uuid4())}
    assert superintendent.post(f"{address}make/", sent).headers["Location"].endswith("/prints/#made")
    choice = choice_from(PrintJob.objects.get().choice)
    assert (choice.teams, choice.paper, choice.copies) == (("Barley Hill",), "letter", 3)


def test_of_many_sheets_the_first_come_numbered_as_in_the_whole(superintendent, monkeypatch):
    monkeypatch.setattr(looks, "PAGES", 2)
    address = look_at(superintendent, a_contest(), "packets")
    look = the_look(address)
    assert (look.drawn, look.total, look.about) == (2, 4, True)
    text = Pdf(look.pdf).text
    assert "Page 2 of 4" in text and "Page 3" not in text
    page = superintendent.get(address).content.decode()
    assert "The first 2 pages of about 4" in page
    version = page.partition("?v=")[2].partition('"')[0]
    assert version == ""  # it asks no more
    assert superintendent.get(address, {"v": "0-0-0"}).status_code == 200
    assert superintendent.get(address, {"v": "2-4-1"}).status_code == 204


def test_what_cannot_be_made_is_said_in_its_place(superintendent):
    contest = a_contest()
    contest.contestants.update(present=False)
    address = look_at(superintendent, contest, "packets", whose="Barley Hill")
    token = address.rstrip("/").rpartition("/")[2]
    eventually(lambda: looks._looks[token].ended)
    assert "▲ Nobody of Barley Hill is here." in superintendent.get(address).content.decode()


def test_a_look_is_of_its_contest_alone_and_goes_with_its_names(superintendent):
    address = look_at(superintendent, a_contest(), "check-in")
    look = the_look(address)
    elsewhere = reverse("print-looked", args=[a_contest().pk, look.token])
    assert superintendent.get(elsewhere).status_code == 404
    looks.forget_looks()
    assert superintendent.get(address).status_code == 404
    assert not Path(settings.DATA_FOLDER, "prints", "looks").exists()
