"""The square code on results and packets: where everybody reads them, and nothing that leads nowhere."""

from html import escape
from uuid import uuid4

import pytest
from django.urls import reverse

from contest.helpers.addresses import set_addresses
from contest.web.square_codes import svg_of
from scoring.models import PrintJob
from scoring.prints import jobs
from scoring.prints.views import print_shop
from tests.scoring.prints.test_released import printed
from tests.scoring.results.cast import ready, release

pytestmark = pytest.mark.django_db
HERE = "http://10.0.0.7:8000"


@pytest.fixture
def contest():
    return ready()


def leads_to(page):
    return page.partition("Square code that opens the results at ")[2].partition('"')[0]


@pytest.mark.parametrize("document", ["results", "packets"])
def test_what_is_released_leads_to_the_public_page_where_one_can_be_reached(contest, document):
    assert leads_to(printed(contest, document, address=HERE)) == ""
    release(contest)
    page = printed(contest, document, address=HERE)
    public = HERE + reverse("public-results", args=[contest.pk])
    assert leads_to(page) == public
    assert escape(svg_of(public)) in page
    assert leads_to(printed(contest, document)) == ""  # nobody reaches this laptop
    set_addresses(contest, "Sue", "", "example.org/fall")
    assert leads_to(printed(contest, document)) == "https://example.org/fall/"
    assert leads_to(printed(contest, "standings")) == ""


def test_the_only_address_is_taken_without_being_asked_for(superintendent, contest, monkeypatch):
    monkeypatch.setattr(jobs, "go_on", lambda: None)
    monkeypatch.setattr(print_shop, "pdf_problem", lambda: "")
    monkeypatch.setattr("contest.serving.addresses.lan_addresses", lambda: ["10.0.0.7"])
    sent = {"submission": str(uuid4()), "documents": ["join-sheet", "results"], "paper": "a4", "copies": "1"}
    here = {"headers": {"Host": "localhost:8000"}}
    assert superintendent.post(reverse("prints", args=[contest.pk]), sent, **here).status_code == 302
    assert {job.choice["address"] for job in PrintJob.objects.all()} == {HERE}
    monkeypatch.setattr("contest.serving.addresses.lan_addresses", list)
    alone = sent | {"submission": str(uuid4()), "documents": ["results"]}
    assert superintendent.post(reverse("prints", args=[contest.pk]), alone, **here).status_code == 302
