"""The process that looks for a better timetable: told the task on its input, it says each better plan on its output.

Run as `python -m reasons.planning.child`. Both are lines of JSON, made and read by the functions here.
"""

from __future__ import annotations

import json
import sys
from dataclasses import asdict
from typing import Any

from contest.background import end_with_the_server, step_back
from reasons.planning.plan import Bound, Plan, PlannedSet
from reasons.planning.planner import plan
from reasons.planning.task import Room, Speaker, Task, Timing


def main() -> None:
    step_back()
    task, arguments = order_from(sys.stdin.readline())
    end_with_the_server()
    made = plan(task, on_better=say, **arguments)
    say(made)


def say(made: Plan) -> None:
    print(json.dumps(asdict(made)), flush=True)


def order_line(task: Task, previous: Plan | None, seed: int, seconds: float) -> str:
    kept = asdict(previous) if previous else None
    return json.dumps({"task": task_as_json(task), "previous": kept, "seed": seed, "budget_seconds": seconds})


def order_from(line: str) -> tuple[Task, dict[str, Any]]:
    order = json.loads(line)
    task, kept = order.pop("task"), order.pop("previous")
    return task_from(task), {**order, "previous": kept and plan_of(kept)}


def task_as_json(task: Task) -> dict[str, Any]:
    made = asdict(task)
    for room in made["rooms"]:
        room["classes"] = room["classes"] and sorted(room["classes"])
    return made


def task_from(task: dict[str, Any]) -> Task:
    speakers = (
        Speaker(**{**row, "classes": tuple(row["classes"]), "busy": times_of(row["busy"])}) for row in task["speakers"]
    )
    rooms = (
        Room(**{**row, "classes": row["classes"] and frozenset(row["classes"]), "busy": times_of(row["busy"])})
        for row in task["rooms"]
    )
    timing = Timing(**{**task["timing"], "breaks": times_of(task["timing"]["breaks"])})
    return Task(tuple(speakers), tuple(rooms), timing)


def times_of(pairs: list[list[int]]) -> tuple[tuple[int, int], ...]:
    return tuple((begin, end) for begin, end in pairs)


def plan_from(line: str) -> Plan:
    return plan_of(json.loads(line))


def plan_of(made: dict[str, Any]) -> Plan:
    sets = tuple(PlannedSet(*row) for row in made["sets"])
    return Plan(**{**made, "sets": sets, "bound": Bound(**made["bound"])})


if __name__ == "__main__":
    main()
