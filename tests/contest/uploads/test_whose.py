"""Who may look at a file on its way, and what becomes of one whose contest goes, or its names."""

from io import BytesIO
from uuid import uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from contest import kept
from contest.changes import SubmissionReused
from contest.entries.bringing import LOOKING_AT_ENTRIES, source_of
from contest.models import BroughtFile, Membership, Organisation, Permit
from contest.models.organisations import Reach, own_organisation, reaching
from contest.privacy.anonymising import anonymise
from contest.uploads import brought, working
from contest.uploads.files import file_of, problems_file_of
from tests.accounts import an_account, signed_in
from tests.contest.uploads.cast import STUCK, read_by
from tests.factories import a_contest
from tests.pages import body
from tests.waiting import eventually

pytestmark = pytest.mark.django_db(transaction=True)
State = BroughtFile.State
LIST = b"number,first name,last name\n771,Ann,Bell\n"


@pytest.fixture
def stuck(monkeypatch):
    monkeypatch.setattr(brought, "AT_ONCE", 0.0)
    return read_by(monkeypatch, STUCK)


def bring_list(contest):
    back = f"/contests/{contest.pk}/entries/load/"
    return brought.bring(
        uuid4(), "list", SimpleUploadedFile("Ann Bell.csv", LIST), None, back, LOOKING_AT_ENTRIES, contest
    )


@pytest.fixture
def other():
    """An organisation besides the first, which is ours."""
    own_organisation()
    return Organisation.objects.create(name="Quill Creek 4-H")


class TestAnotherOrganisation:
    def test_it_can_neither_look_nor_cancel(self, other, stuck, superintendent):
        with reaching(Reach(other.pk)):
            theirs = bring_list(a_contest())
        page = f"/uploads/{theirs.key}/"
        assert "Nothing is known of this file." in body(superintendent.get(page))
        superintendent.post(f"{page}cancel/")
        theirs.refresh_from_db()
        assert not theirs.is_over
        own = signed_in("own", organisation=theirs.organisation_id)
        assert "Ann Bell.csv" in body(own.get(page))
        own.post(f"{page}cancel/")
        theirs.refresh_from_db()
        assert theirs.state == State.CANCELLED

    def test_nor_have_its_key(self, other, stuck):
        key, file = uuid4(), SimpleUploadedFile("e.csv", LIST)
        with reaching(Reach(other.pk)):
            brought.bring(key, "list", file, ["a form"], "/back/", LOOKING_AT_ENTRIES)
        with reaching(Reach(own_organisation())), pytest.raises(SubmissionReused):
            brought.bring(key, "list", file, ["a form"], "/back/", LOOKING_AT_ENTRIES)

    def test_nor_see_what_was_read(self, other, superintendent):
        with reaching(Reach(other.pk)):
            theirs = bring_list(a_contest())
            assert theirs.state == State.DONE
        ours = a_contest()
        assert superintendent.get(theirs.leads_to).status_code == 404
        through = superintendent.get(f"/contests/{ours.pk}/entries/load/{theirs.key}/")
        assert through.headers["Location"] == f"/contests/{ours.pk}/entries/load/"


def test_whoever_may_some_contests_sees_what_is_brought_for_those(stuck):
    mine, other = a_contest(), a_contest()
    user = an_account("Ada", role=Membership.Role.SOME)
    Permit.objects.create(membership=user.membership, contest=mine)
    client = Client()
    client.force_login(user)
    seen = ["Ann Bell.csv" in body(client.get(f"/uploads/{bring_list(one).key}/")) for one in (mine, other)]
    assert seen == [True, False]


def test_whoever_works_on_it_hears_that_it_was_cancelled_elsewhere(stuck):
    row = bring_list(a_contest())
    eventually(lambda: stuck)
    BroughtFile.every.update(state=State.CANCELLED)  # as another process does
    working.line.end_unwanted()
    eventually(lambda: stuck[0].poll() is not None)
    eventually(lambda: working.line.is_idle)
    assert not (settings.DATA_FOLDER / file_of(row)).exists()


def test_once_a_contest_is_made_anonymous_nothing_of_it_is_left(stuck):
    contest = a_contest()
    row = bring_list(contest)
    kept.keep(problems_file_of(row), BytesIO(b"[]"))
    eventually(lambda: stuck)
    anonymise(contest, "Sue")
    assert not BroughtFile.every.exists()
    eventually(lambda: stuck[0].poll() is not None and working.line.is_idle)
    assert not [name for name in kept.names_in("uploads") if str(row.key) in name]


def test_what_was_read_is_shown_no_more_once_names_are_out():
    contest = a_contest()
    row = bring_list(contest)
    assert source_of(row, contest).sheets == {"": LIST.decode()}
    anonymise(contest, "Sue")
    assert source_of(row, contest) is None
