"""A planning and its drafts as JSON, so that any process goes on with them; and back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from reasons.day.elsewhere import Elsewhere
from reasons.day.timetable import Base, Draft, Planning, Wishes
from reasons.planning import PlannedSet
from reasons.planning.child import plan_of, task_as_json, task_from, times_of


def planning_as_json(planning: Planning) -> dict[str, Any]:
    elsewhere, base = planning.elsewhere, planning.base
    return {
        "task": task_as_json(planning.task),
        "held": planning.held,
        "in_force": planning.in_force,
        "rules": base.rules,
        "states": [[*key, state] for key, state in base.states.items()],
        "wishes": {"anew": planning.wishes.anew, **planning.wishes.kept()},
        "longer": list(planning.longer.items()),
        "apart": sorted(planning.apart),
        "quiet": sorted(planning.quiet),
        "contests": elsewhere.contests,
        "people": list(elsewhere.people.items()),
        "rooms": list(elsewhere.rooms.items()),
    }


def planning_from(kept: dict[str, Any]) -> Planning:
    """Raises KeyError, TypeError or ValueError where an older Tanbark kept something else."""
    states = {(number, on): state for number, on, state in kept["states"]}
    wished = dict(kept["wishes"])
    wishes = Wishes(wished.pop("anew"), **{name: dict(pairs) for name, pairs in wished.items()})
    busy = [{who: times_of(times) for who, times in kept[name]} for name in ("people", "rooms")]
    return Planning(
        task_from(kept["task"]),
        _sets(kept["held"]),
        _sets(kept["in_force"]),
        Base(kept["rules"], states),
        wishes,
        dict(kept["longer"]),
        frozenset(kept["apart"]),
        frozenset(kept["quiet"]),
        Elsewhere(tuple(kept["contests"]), *busy),
    )


def draft_as_json(draft: Draft) -> dict[str, Any]:
    """What is the draft's own; the rest is its planning's."""
    made = {"sets": draft.sets, "bound": asdict(draft.bound)}
    return {**made, "following": draft.following, "proved": draft.proved}


def draft_from(kept: dict[str, Any], planning: Planning) -> Draft:
    made = plan_of(kept)
    return Draft(made.sets, made.bound, made.following, made.proved, planning.base, planning.wishes)


def _sets(rows: Iterable[Iterable[Any]]) -> tuple[PlannedSet, ...]:
    return tuple(PlannedSet(*row) for row in rows)
