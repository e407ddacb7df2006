"""A deleted contest lies in the bin: nobody meets it, and for thirty days it can be had back as it was."""

from datetime import timedelta

import pytest
from django.core.management import call_command
from django.test import Client
from django.utils import timezone

from contest.bin.emptying import empty_old
from contest.bin.keeping import KEPT, delete_contest, restore_contest
from contest.changes.exceptions import NotPossible
from contest.helpers.codes import codes_of
from contest.models import Contest, Duty, TrailEntry
from contest.records import load_record
from scoring.models import TakeHomeLink
from scoring.results.links import make_links
from tests.addresses import addresses, values_of
from tests.contest.entries.cast import submission
from tests.factories import a_contest
from tests.scoring.results.cast import ready, release
from tests.trails import last_of, trail_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    contest = ready()
    release(contest)
    make_links(contest, "Sue")
    return Contest.objects.get(pk=contest.pk)


def delete(contest):
    delete_contest(contest, contest.name, "Sue")
    return Contest.every.get(pk=contest.pk)


def test_no_address_leads_to_it_whoever_asks(contest, superintendent, as_helper, client):
    token = TakeHomeLink.objects.first().token
    code = codes_of(contest)[Duty.TABULATOR]
    helper = as_helper(contest, Duty.TABULATOR)
    of_it = tuple(f"/{area}/{contest.pk}/" for area in ("contests", "results", "public", "board"))
    where = [address for address in addresses(values_of(contest)) if address.startswith(of_it)]
    assert sum(superintendent.get(address).status_code == 200 for address in where) > 20  # a control
    delete(contest)
    for one in (superintendent, helper, client):
        assert [address for address in where if one.get(address).status_code == 200] == []
    assert client.get(f"/home/{token}/").status_code == 404
    assert helper.get(f"/contests/{contest.pk}/desk/").headers["Location"].startswith("/join/")
    joined = Client().post("/join/", {"code": code, "name": "Zoe"})
    assert not contest.helpers.filter(name="Zoe").exists()
    assert joined.status_code == 422
    assert contest.name not in client.get("/board/").content.decode()
    assert contest.name not in superintendent.get("/").content.decode()


def test_it_comes_back_as_it_was_with_its_trail_its_releases_its_codes_and_its_helpers(
    contest, superintendent, as_helper, client
):
    before, trail = load_record(contest.pk)[1], trail_of(contest)
    code = codes_of(contest)[Duty.TABULATOR]
    helper = as_helper(contest, Duty.TABULATOR)
    token = TakeHomeLink.objects.filter(team__isnull=False).first().token
    trail = trail_of(contest)
    delete(contest)
    sent = superintendent.post(f"/bin/{contest.pk}/restore/", submission())
    assert sent.headers["Location"] == f"/contests/{contest.pk}/"
    assert load_record(contest.pk)[1] == before
    assert trail_of(contest)[: len(trail)] == trail
    assert [entry.what for entry in trail_of(contest)[-2:]] == [
        "contest deleted, and kept in the bin",
        "contest taken out of the bin",
    ]
    assert b"Given101x" in client.get(f"/home/{token}/").content
    assert helper.get(f"/contests/{contest.pk}/desk/").status_code == 200
    assert codes_of(contest)[Duty.TABULATOR] == code


def test_the_chain_proves_while_it_lies_there(contest, capsys):
    delete(contest)
    call_command("verify_trail")
    assert contest.name in capsys.readouterr().out


def test_the_page_tells_what_lies_in_it_by_whom_and_for_how_long(contest, superintendent):
    assert b"It is empty" in superintendent.get("/bin/").content
    delete(contest)
    page = superintendent.get("/bin/").content.decode()
    for words in (contest.name, "5 contestants", "1 released result", "by <bdi>Sue</bdi>; kept 30 days more"):
        assert words in page


def test_another_name_empties_nothing_and_stays_in_its_field(contest, superintendent):
    delete(contest)
    refused = superintendent.post(f"/bin/{contest.pk}/empty/", {"name": "Harrow <x>"})
    assert refused.status_code == 422
    assert 'value="Harrow &lt;x&gt;"' in refused.content.decode()
    assert "That is not its name" in refused.content.decode()
    assert Contest.every.filter(pk=contest.pk, emptied_at=None).exists()


def test_what_is_not_in_the_bin_cannot_be_emptied_or_restored(contest, superintendent):
    superintendent.post(f"/bin/{contest.pk}/empty/", {"name": contest.name})
    assert Contest.objects.filter(pk=contest.pk).exists()
    with pytest.raises(NotPossible):
        restore_contest(contest, "Sue")
    assert superintendent.post(f"/bin/{contest.pk}/restore/", submission()).status_code == 409


def test_after_thirty_days_it_goes_by_itself_and_not_a_day_before(contest, superintendent):
    delete(contest)
    there = Contest.every.filter(pk=contest.pk)
    there.update(deleted_at=timezone.now() - KEPT + timedelta(days=1))
    empty_old()
    assert there.exists()
    there.update(deleted_at=timezone.now() - KEPT - timedelta(minutes=1))
    superintendent.get("/bin/")
    assert not there.exists()
    assert not TrailEntry.objects.filter(contest=contest.pk).exists()
    assert (last_of(None).by, last_of(None).what) == ("Tanbark", "contest deleted for good")


def test_what_was_begun_goes_on_and_cannot_be_had_back(contest, superintendent):
    """The laptop was switched off in the middle."""
    delete(contest)
    there = Contest.every.filter(pk=contest.pk)
    there.update(emptied_at=timezone.now())
    assert superintendent.post(f"/bin/{contest.pk}/restore/", submission()).status_code == 409
    empty_old()
    assert not there.exists()


def test_other_contests_stay(contest):
    other = a_contest()
    before = load_record(other.pk)[1]
    delete(contest)
    Contest.every.filter(pk=contest.pk).update(emptied_at=timezone.now())
    empty_old()
    assert load_record(other.pk)[1] == before


@pytest.mark.parametrize("duty", Duty.values)
def test_no_helper_reaches_it(contest, as_helper, duty):
    other = as_helper(a_contest(), duty)
    delete(contest)
    for answer in (other.get("/bin/"), other.post(f"/bin/{contest.pk}/restore/", submission())):
        assert answer.status_code == 404
    assert Contest.every.filter(pk=contest.pk, deleted_at__isnull=False).exists()
