"""Looking for a better timetable in a process of its own, while people look at the first."""

import time
from uuid import uuid4

import pytest
from django.urls import reverse

from reasons.day import search
from reasons.day.timetable import Wishes
from reasons.planning import Plan, plan
from reasons.planning.child import order_from, order_line, plan_from, say
from tests.reasons.day.cast import reasons_contest
from tests.reasons.planning.examples import broken_laws, in_one_room, simple_task

pytestmark = pytest.mark.django_db


@pytest.fixture
def poor_start(monkeypatch):
    monkeypatch.setattr(search, "first_draft", lambda planning, seconds: planning.draft(in_one_room(planning.task)))


def a_search(**more):
    contest = reasons_contest(**more)
    key = uuid4()
    search.search_for(key, contest, Wishes())
    return contest, key, search.find(key, contest)


def until_done(found, seconds=20):
    ends = time.monotonic() + seconds
    while found.is_running and time.monotonic() < ends:
        time.sleep(0.02)
    assert not found.is_running


def test_a_better_draft_comes_while_the_first_is_shown(poor_start, superintendent):
    contest, key, found = a_search()
    address = reverse("reasons-draft", args=[contest.pk, key])
    first = found.draft(1)
    page = superintendent.get(address).content.decode()
    assert "Still looking for a better one" in page or "Done" in page
    until_done(found)
    assert found.draft().ends < first.ends
    assert found.draft().proved
    assert broken_laws(found.planning.task, Plan(found.draft().sets, found.draft().bound)) == []
    assert found.draft(1) is first  # whoever still looks at it can use it
    live = superintendent.get(address, {"v": "old"}).content.decode()
    assert "Done: there is no better one." in live
    assert "data-poll" not in live
    assert superintendent.get(address, {"v": found.version}).status_code == 204


def test_a_draft_that_is_proved_needs_no_process():
    _contest, _key, found = a_search()
    assert found.draft().proved
    assert (found.looks, found.is_running) == (0, False)


def test_using_a_draft_ends_the_search(poor_start, superintendent):
    contest, key, found = a_search(people=40, rooms=4)
    child = found.child
    response = superintendent.post(
        reverse("reasons-publish", args=[contest.pk, key]), {"submission": str(uuid4()), "draft": 1}
    )
    assert response.status_code == 302
    assert not found.is_running
    assert found.in_force is found.draft(1)
    if child:
        assert child.wait(timeout=10) is not None


def test_looking_longer(poor_start, superintendent):
    contest, key, found = a_search()
    until_done(found)
    superintendent.post(reverse("reasons-better", args=[contest.pk, key]), {"submission": str(uuid4())})
    assert found.looks == 2
    until_done(found)
    assert found.draft().proved


def test_the_process_is_told_everything(capsys):
    task = simple_task(6, 2, 3, gap=4, keep=True, breaks=[(545, 550)])
    previous = plan(task)
    back, arguments = order_from(order_line(task, previous, 3, 5))
    assert back == task
    assert arguments == {"previous": previous, "seed": 3, "budget_seconds": 5}
    say(previous)
    assert plan_from(capsys.readouterr().out) == previous
