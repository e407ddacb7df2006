"""What is told to the process that looks for a better timetable, and what it says."""

import io
import sys
from dataclasses import replace

import pytest

from reasons.planning import Room, Speaker, Task, Timing, plan
from reasons.planning import child as asked

TASK = Task(
    (Speaker(101, (1, 2), "a"), Speaker(102, (2,), ready=545)),
    (Room("1", frozenset({1, 2}), 540, 600, "b"), Room("2")),
    Timing(540, 2, 2, 0, ((550, 560),)),
)


@pytest.mark.parametrize("previous", [None, plan(TASK)])
def test_the_task_arrives_as_it_was_sent(previous):
    line = asked.order_line(TASK, previous, 3, 5)
    assert asked.order_from(line) == (TASK, {"previous": previous, "seed": 3, "budget_seconds": 5})


def test_what_is_said_is_heard_at_once(monkeypatch):
    heard = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(heard, encoding="utf-8"))  # it keeps what is short, as a pipe's
    asked.say(plan(TASK))
    assert asked.plan_from(heard.getvalue().decode()) == plan(TASK)


def test_each_better_plan_is_said_and_the_last_once_more(monkeypatch, capsys):
    done = []
    monkeypatch.setattr(asked, "step_back", lambda: done.append("steps back"))
    monkeypatch.setattr(asked, "end_with_the_server", lambda: done.append("ends with the server"))
    monkeypatch.setattr(sys, "stdin", io.StringIO(asked.order_line(TASK, None, 0, 5)))
    asked.main()
    *shown, last = map(asked.plan_from, capsys.readouterr().out.splitlines())
    assert (last, done) == (plan(TASK), ["steps back", "ends with the server"])
    assert replace(shown[-1], proved=True) == last
