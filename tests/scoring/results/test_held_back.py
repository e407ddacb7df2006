"""Nothing public runs ahead of the announcer: while awards are still to be read, no public page shows a result."""

import pytest
from django.test import Client

from contest.changes.exceptions import NotPossible
from contest.models import Contest
from scoring.announced.held_back import ceremony_of
from scoring.board.awards import ListKey
from scoring.board.ceremony import move_on
from scoring.board.queue import queue_lists
from scoring.models import TakeHomeLink
from scoring.results.links import make_links
from scoring.results.publishing import publish
from scoring.results.release import withdraw_results
from tests.pages import html_in
from tests.scoring.results.cast import ready, release

pytestmark = pytest.mark.django_db


@pytest.fixture
def contest():
    contest = ready()
    queue_lists(contest, [ListKey("SR", "overall", "individuals")], 10, "Sue")
    release(contest)
    make_links(contest, "Sue")
    return contest


def addresses(contest):
    token = TakeHomeLink.objects.filter(contest=contest).first().token
    yield f"/results/{contest.pk}/SR/overall/"
    yield f"/results/{contest.pk}/results.xlsx"
    yield f"/home/{token}/"


def move(contest, name):
    contest.refresh_from_db()
    ceremony = ceremony_of(contest)
    move_on(contest, "Sue", name, ceremony.step if ceremony else 0)


def statuses(contest):
    return [Client().get(address).status_code for address in addresses(contest)]


def link_shows_the_team(contest):
    """Whether a link to take home shows what it leads to, and not only when it will."""
    *_others, home = addresses(contest)
    return "Barley Hill" in html_in(Client().get(home))


def test_public_pages_files_and_links_wait_for_the_stage(contest):
    assert statuses(contest) == [200, 404, 200]  # pages that say when, and no file


def test_they_wait_while_the_awards_are_being_read(contest):
    move(contest, "begin")
    assert statuses(contest) == [200, 404, 200]  # pages that say when, and no file


def test_a_static_copy_waits_too(contest, tmp_path):
    with pytest.raises(NotPossible, match="still to be read"):
        publish(contest, tmp_path / "copy")
    assert not (tmp_path / "copy").exists()


def test_they_open_when_the_ceremony_has_ended(contest, tmp_path):
    move(contest, "begin")
    move(contest, "end")
    contest.refresh_from_db()
    assert statuses(contest) == [200, 200, 200]
    assert publish(contest, tmp_path / "copy")


def test_links_that_families_have_work_while_the_ceremony_is_held_again(contest):
    assert not link_shows_the_team(contest)
    for name in ("begin", "end", "again"):
        move(contest, name)
    assert statuses(contest) == [200, 404, 200]
    assert link_shows_the_team(contest)


def test_links_work_while_awards_are_queued_after_everything_was_public_and_wait_after_a_withdrawal():
    contest = ready()
    release(contest)
    make_links(contest, "Sue")
    assert statuses(contest) == [200, 200, 200]
    contest.refresh_from_db()
    queue_lists(contest, [ListKey("SR", "overall", "individuals")], 10, "Sue")
    assert statuses(contest) == [200, 404, 200]
    assert link_shows_the_team(contest)
    withdraw_results(contest, "Sue", "a key was wrong")
    release(Contest.objects.get(pk=contest.pk))
    assert not link_shows_the_team(contest)


def test_the_superintendent_is_told_so_before_and_after_the_release(superintendent):
    contest = ready()
    queue_lists(contest, [ListKey("SR", "overall", "individuals")], 10, "Sue")
    start = f"/contests/{contest.pk}/results/"
    assert "have been read, on the board" in html_in(superintendent.get(start))
    release(contest)
    assert "The awards come first." in html_in(superintendent.get(start))
    move(contest, "begin")
    move(contest, "end")
    assert "The awards come first." not in html_in(superintendent.get(start))
