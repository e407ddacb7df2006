"""The teams that loading an entry list would make, and those of them that may be another one mistyped. Plain Python."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from contest.entries.matching import nearly
from contest.entries.plan import Layout, Plan, Verdict
from scoring.core.people import fold

MOST_ASKED = 50
"""Questions that fit on a page."""


class Question(NamedTuple):
    """Whether a team that stands in the list is another one of its division; `meant` is what was answered."""

    division: str
    name: str
    other: str
    meant: str = ""


class NewTeams(NamedTuple):
    """The teams that are new, by division and name, and what is asked about such names."""

    teams: list[tuple[str, str]]
    questions: list[Question]


def new_teams(plan: Plan, layout: Layout, known: Mapping[str, Iterable[str]]) -> NewTeams:
    """`known` are the names of the teams that there are, by the code of their division."""
    names = {division: {fold(name): name for name in teams} for division, teams in known.items()}
    questions = [Question(*typed, meant, meant) for typed, meant in layout.teams.items()]
    new: list[tuple[str, str]] = []
    for row in plan.rows:
        if row.kind not in (Verdict.ADD, Verdict.CHANGE) or not row.values or not row.values.team:
            continue
        division, name = row.values.division, row.values.team
        there = names.setdefault(division, {})
        if fold(name) in there:
            continue
        if len(questions) < MOST_ASKED and (other := nearly(name, there.values())):
            questions.append(Question(division, name, other))
        there[fold(name)] = name
        new.append((division, name))
    return NewTeams(new, questions)
