"""The pages on which a change is taken back."""

import pytest

from contest.entries import arrivals
from contest.models import Contest
from contest.setup import outline
from tests.contest.entries.cast import contestant, submission, two_divisions
from tests.factories import ClassFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    return two_divisions(classes=(ClassFactory(divisions=("SR", "JR"), official=None, cuts=None),))


def test_scratching_everybody_who_is_missing_offers_to_take_it_back(contest, superintendent):
    address = f"/contests/{contest.pk}/entries/check-in/missing/"
    sent = superintendent.post(
        f"/contests/{contest.pk}/entries/check-in/scratch/", submission(count=5, sure="yes"), follow=True
    )
    if sent.status_code == 404:
        pytest.fail(str(sent.redirect_chain))
    page = sent.content.decode()
    assert "5 scratched." in page
    assert "Take it back" in page
    assert "Take it back" not in superintendent.get(address).content.decode()  # once
    revision = Contest.objects.get(pk=contest.pk).revision
    done = superintendent.post(f"/contests/{contest.pk}/take-back/{revision}/", submission(), follow=True)
    assert "taken back: 5 scratched who had not come" in done.content.decode()
    assert contest.contestants.filter(present=True).count() == 5


def test_removing_a_class_offers_it_too(contest, superintendent):
    judged = contest.classes.get()
    sent = superintendent.post(f"/contests/{contest.pk}/setup/classes/{judged.pk}/remove/", submission(), follow=True)
    assert "Class 1 removed</bdi>." in sent.content.decode()
    assert "Take it back" in sent.content.decode()


def test_what_stands_in_the_way_is_said_and_pressed_all_the_same_nothing_happens(contest, superintendent):
    arrivals.scratch_missing(contest, 5, "Ann")
    revision = contest.trail.last().revision
    address = f"/contests/{contest.pk}/take-back/"
    assert f'action="{address}{revision}/"' in superintendent.get(address).content.decode()
    arrivals.check_in(contestant(contest, 103), "Ben")
    page = superintendent.get(address).content.decode()
    assert f'action="{address}{revision}/"' not in page
    assert "No: contestant 103 was changed since, at " in page
    refused = superintendent.post(f"{address}{revision}/", submission())
    assert refused.status_code == 409
    assert "stays: contestant 103 was changed since" in refused.content.decode()
    assert contest.contestants.filter(present=True).count() == 1


def test_two_presses_of_one_form_are_one_change(contest, superintendent):
    arrivals.scratch_missing(contest, 5, "Ann")
    revision = contest.trail.last().revision
    form = submission()
    for _ in range(2):
        sent = superintendent.post(f"/contests/{contest.pk}/take-back/{revision}/", form)
        assert sent.status_code == 302
    assert Contest.objects.get(pk=contest.pk).revision == revision + 1


def test_it_refuses_a_get_a_helper_and_what_is_not_there(contest, superintendent, as_helper):
    outline.remove(contest.classes.get(), "Ann")
    revision = contest.trail.last().revision
    address = f"/contests/{contest.pk}/take-back/{revision}/"
    assert superintendent.get(address).status_code == 405
    assert as_helper(contest, "tabulator").post(address, submission()).status_code == 404
    assert not contest.classes.exists()
    assert superintendent.post(f"/contests/{contest.pk}/take-back/999/", submission()).status_code == 404


def test_the_page_says_so_where_there_is_nothing(contest, superintendent):
    assert b"Nothing that could be taken back" in superintendent.get(f"/contests/{contest.pk}/take-back/").content
