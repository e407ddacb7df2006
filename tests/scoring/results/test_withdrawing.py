"""A release can be withdrawn, until the ceremony begins: everything public is as before, and it can be made again."""

import pytest
from django.test import Client

from contest.changes.exceptions import NotPossible
from contest.models import Contest
from scoring.announced.released import released
from scoring.board.awards import ListKey
from scoring.board.ceremony import move_on
from scoring.board.queue import queue_lists
from scoring.models import Release, TakeHomeLink
from scoring.results.links import make_links
from scoring.results.publishing import publish
from scoring.results.release import withdraw_results
from tests.contest.entries.cast import submission
from tests.scoring.results.cast import change_key, correct, ready, release
from tests.trails import last_of

pytestmark = pytest.mark.django_db


def again(contest):
    return Contest.objects.get(pk=contest.pk)


@pytest.fixture
def contest():
    contest = ready()
    release(contest)
    make_links(again(contest), "Sue")
    return again(contest)


def public(contest):
    """What a stranger is answered, everywhere that results are told."""
    client = Client()
    addresses = [
        f"/results/{contest.pk}/",
        f"/results/{contest.pk}/SR/overall/",
        f"/results/{contest.pk}/results.zip",
        f"/public/{contest.pk}/classes/1/",
        f"/board/{contest.pk}/",
    ]
    return [(response.status_code, b"Barley Hill" in response.content) for response in map(client.get, addresses)]


def test_everything_public_is_as_before_the_release_at_once(contest, django_capture_on_commit_callbacks):
    before_release = public(again(ready()))
    assert public(contest) != before_release  # a control
    with django_capture_on_commit_callbacks(execute=True):
        withdraw_results(contest, "Sue", "  the wrong   contest ")
    assert released(again(contest)) is None
    assert public(contest) == before_release
    entry = last_of(contest)
    assert (entry.by, entry.what, entry.after) == (
        "Sue",
        "results withdrawn",
        {"releases": [1], "reason": "the wrong contest"},
    )
    kept = Release.objects.get(contest=contest)
    assert (kept.withdrawn_by, kept.withdrawn_reason) == ("Sue", "the wrong contest")


def test_links_say_calmly_that_they_will_work_again_and_do(contest):
    token = TakeHomeLink.objects.filter(contest=contest, team__isnull=False).first().token
    client = Client()
    withdraw_results(contest, "Sue", "a mistake")
    page = client.get(f"/home/{token}/")
    assert page.status_code == 200
    assert b"The results were withdrawn. Come back later" in page.content
    assert page.headers["X-Robots-Tag"] == "noindex, nofollow"
    assert b"Given" not in page.content
    assert client.get("/home/nothing/").status_code == 404
    release(again(contest))
    assert b"Given101x" in client.get(f"/home/{token}/").content


def test_what_is_released_again_is_no_correction(contest):
    change_key(contest, "4321", (1, 1, 1))
    correct(again(contest), "a key")
    withdraw_results(again(contest), "Sue", "a mistake")
    made = release(again(contest))
    announced = released(again(contest))
    assert (made.version, announced.corrected, len(announced.announcements)) == (3, "", 1)
    assert last_of(contest).what == "results released"


def test_a_page_that_is_open_learns_of_it(contest, django_capture_on_commit_callbacks):
    client = Client()
    page = client.get(f"/results/{contest.pk}/")
    version = page.content.decode().split('data-version="')[1][:12]
    htmx = {"HX-Request": "true"}
    assert client.get(f"/results/{contest.pk}/?v={version}", headers=htmx).status_code == 204
    with django_capture_on_commit_callbacks(execute=True):
        withdraw_results(contest, "Sue", "a mistake")
    assert client.get(f"/results/{contest.pk}/?v={version}", headers=htmx).status_code != 204


def test_without_a_reason_or_a_release_it_is_refused(contest):
    with pytest.raises(NotPossible, match="say why"):
        withdraw_results(contest, "Sue", "  ")
    withdraw_results(contest, "Sue", "a mistake")
    with pytest.raises(NotPossible, match="nothing is announced"):
        withdraw_results(again(contest), "Sue", "again")


def test_once_the_ceremony_has_begun_it_is_corrected_instead(contest):
    queue_lists(contest, [ListKey("SR", "overall", "individuals")], 3, "Sue")
    move_on(again(contest), "Sue", "begin", 0)
    with pytest.raises(NotPossible, match="correction"):
        withdraw_results(again(contest), "Sue", "too late")
    assert released(again(contest)) is not None


def test_nothing_is_published_while_it_is_withdrawn(contest, tmp_path):
    withdraw_results(contest, "Sue", "a mistake")
    with pytest.raises(NotPossible):
        publish(again(contest), tmp_path / "copy")


class TestThePage:
    def test_it_withdraws_for_a_reason(self, contest, superintendent):
        address = f"/contests/{contest.pk}/results/"
        assert b"Withdraw the results" in superintendent.get(address).content
        refused = superintendent.post(f"{address}withdraw/", submission(reason=""))
        assert refused.status_code == 422
        assert b"Say why" in refused.content
        done = superintendent.post(f"{address}withdraw/", submission(reason="not <yet>"), follow=True)
        assert b"The results are withdrawn" in done.content
        assert b"not &lt;yet&gt;" in done.content
        assert b"Go on to the release" in done.content

    def test_it_is_not_offered_once_the_ceremony_has_begun(self, contest, superintendent):
        queue_lists(contest, [ListKey("SR", "overall", "individuals")], 3, "Sue")
        move_on(again(contest), "Sue", "begin", 0)
        assert b"Withdraw the results" not in superintendent.get(f"/contests/{contest.pk}/results/").content

    def test_it_refuses_a_get_and_a_stranger(self, contest, superintendent, client):
        address = f"/contests/{contest.pk}/results/withdraw/"
        assert superintendent.get(address).status_code == 405
        client.post(address, submission(reason="x"))
        assert released(again(contest)) is not None
