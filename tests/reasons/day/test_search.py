"""Looking for a better timetable in a process of its own, while people look at the first."""

import json
import threading
from dataclasses import replace
from uuid import uuid4

import pytest
from django.urls import reverse

from contest.background import start_child
from reasons.day import search
from reasons.day.elsewhere import Elsewhere
from reasons.day.kept import planning_as_json, planning_from
from reasons.day.timetable import Base, Wishes, planning_of
from reasons.models import TimetableSearch
from reasons.planning import Plan, PlannedSet, plan
from reasons.planning.child import order_from, order_line, plan_from, say
from tests.reasons.day.cast import reasons_contest
from tests.reasons.planning.examples import broken_laws, in_one_room, simple_task
from tests.waiting import eventually

pytestmark = pytest.mark.django_db(transaction=True)

State = TimetableSearch.State


@pytest.fixture
def poor_start(monkeypatch):
    monkeypatch.setattr(search, "first_draft", lambda planning, seconds: planning.draft(in_one_room(planning.task)))


@pytest.fixture(autouse=True)
def nobody_looks_any_more():
    yield
    TimetableSearch.objects.update(state=State.OVER)
    search.line.end_unwanted()
    eventually(lambda: search.line.is_idle)


def a_search(**more):
    contest = reasons_contest(**more)
    key = uuid4()
    search.search_for(key, contest, Wishes())
    return contest, key, search.find(key, contest)


def when_done(key, contest):
    """The search once nobody looks for anything better."""
    eventually(lambda: not search.find(key, contest).is_running)
    return search.find(key, contest)


def test_a_better_draft_comes_while_the_first_is_shown(poor_start, superintendent):
    contest, key, found = a_search()
    address = reverse("reasons-draft", args=[contest.pk, key])
    first = found.draft(1)
    page = superintendent.get(address).content.decode()
    assert "Still looking for a better one" in page or "Done" in page
    found = when_done(key, contest)
    assert found.draft().ends < first.ends
    assert found.draft().proved
    assert broken_laws(found.planning.task, Plan(found.draft().sets, found.draft().bound)) == []
    assert found.draft(1) == first  # whoever still looks at it can use it
    live = superintendent.get(address, {"v": "old"}).content.decode()
    assert "Done: there is no better one." in live
    assert "data-poll" not in live
    assert superintendent.get(address, {"v": found.version}).status_code == 204


def test_a_draft_that_is_proved_needs_no_process():
    _contest, _key, found = a_search()
    assert found.draft().proved
    assert (found.looks, found.is_running) == (0, False)


def test_using_a_draft_ends_the_search_wherever_that_runs(monkeypatch, poor_start, superintendent):
    children = []
    monkeypatch.setattr(search, "start_child", lambda *told: children.append(start_child(*told)) or children[-1])
    monkeypatch.setattr(search, "LOOK_FOR", 600)
    contest, key, found = a_search(people=40, rooms=4)
    eventually(lambda: children)
    response = superintendent.post(
        reverse("reasons-publish", args=[contest.pk, key]), {"submission": str(uuid4()), "draft": 1}
    )
    assert response.status_code == 302
    found = search.find(key, contest)
    assert not found.is_running
    assert found.in_force == found.draft(1)
    assert children[0].wait(timeout=60) is not None


def test_a_search_whose_process_was_killed_is_gone_on_with(monkeypatch, poor_start):
    monkeypatch.setattr(search.line, "go_on", lambda: None)
    contest, key, _found = a_search()
    TimetableSearch.objects.filter(key=key).update(state=State.LOOKING, attempt=1)
    search.keep_searching(search.find(key, contest))
    assert search.find(key, contest).looks == 1  # one looks, as far as anybody knows
    monkeypatch.undo()
    search.line.go_on()
    found = when_done(key, contest)
    assert found.draft().proved
    assert (found.looks, found.row.attempt) == (1, 2)


def test_several_contests_are_looked_for_at_once(monkeypatch, poor_start):
    together = threading.Barrier(2)
    monkeypatch.setattr(search, "_hear", lambda found, attempt: together.wait(timeout=60))
    searches = [a_search() for _ in range(2)]
    for contest, key, _found in searches:
        when_done(key, contest)
    assert not together.broken


def test_looking_longer(poor_start, superintendent):
    contest, key, _found = a_search()
    when_done(key, contest)
    superintendent.post(reverse("reasons-better", args=[contest.pk, key]), {"submission": str(uuid4())})
    assert search.find(key, contest).looks == 2
    assert when_done(key, contest).draft().proved


def test_what_a_planning_starts_from_comes_back_as_it_was():
    contest = reasons_contest()
    first, second = contest.rooms.all()
    wishes = Wishes(anew=True, opening={first.pk: 560}, closing={second.pk: 700}, late={101: 580})
    planning = planning_of(contest, wishes)
    held = PlannedSet(540, str(first.pk), 101, 1, 542)
    elsewhere = Elsewhere(("Fall",), {101: ((540, 560),)}, {first.pk: ((500, 510), (600, 610))})
    states = Base("digest", {(101, 1): "speaking"})
    room = replace(planning.task.rooms[0], classes=frozenset({1, 3}), busy=((500, 510),))
    task = replace(planning.task, rooms=(room, *planning.task.rooms[1:]))
    more = {"longer": {102: 50}, "apart": frozenset({102}), "quiet": frozenset({str(first.pk)})}
    planning = replace(planning, task=task, held=(held,), in_force=(held,), base=states, elsewhere=elsewhere, **more)
    assert planning_from(json.loads(json.dumps(planning_as_json(planning)))) == planning


def test_the_process_is_told_everything(capsys):
    task = simple_task(6, 2, 3, gap=4, keep=True, breaks=[(545, 550)])
    previous = plan(task)
    back, arguments = order_from(order_line(task, previous, 3, 5))
    assert back == task
    assert arguments == {"previous": previous, "seed": 3, "budget_seconds": 5}
    say(previous)
    assert plan_from(capsys.readouterr().out) == previous
