"""Clubs of a day: told where two names may be one club, called alike, and called as before again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from contest.entries.matching import nearly
from contest.entries.teams import rename_team
from contest.history.taking_back import can_be_taken_back, take_back_change
from contest.models import Contest, Team, TrailEntry
from scoring.core.people import fold

ALIKE = "team_called_alike"
MOST_LISTED = 50


class SameClub(NamedTuple):
    """A club that may be the one that another contest knows as `other`."""

    team: Team
    contest: Contest
    other: Team
    other_contest: Contest


class CalledAlike(NamedTuple):
    """A change that called a club as another contest does, and what stands in the way of taking it back, in words."""

    entry: TrailEntry
    contest: Contest
    before: str
    name: str
    in_the_way: list[str]


def nearly_the_same(contests: Sequence[Contest]) -> list[SameClub]:
    """Clubs whose name is nearly, and not quite, that of a club of an earlier contest."""
    known: dict[str, tuple[Team, Contest]] = {}
    made = []
    for contest in contests:
        teams = list(Team.objects.filter(division__contest=contest).select_related("division"))
        there = {fold(team.name) for team in teams}
        others = {team.name: (team, of) for key, (team, of) in known.items() if key not in there}
        for team in teams:
            if fold(team.name) not in known and (other := nearly(team.name, others)):
                made.append(SameClub(team, contest, *others[other]))
        for team in teams:
            known.setdefault(fold(team.name), (team, contest))
    return made


def call_alike(team: Team, name: str, by: str) -> None:
    """Call a club as another contest of the day does. Raises NotThis as `rename_team` does."""
    rename_team(team, name, by, ALIKE)


def called_alike(contests: Sequence[Contest]) -> list[CalledAlike]:
    """The clubs that were called alike and still are, the newest first."""
    entries = TrailEntry.objects.filter(contest__in=contests, what=ALIKE).select_related("contest").order_by("-pk")
    made: dict[int, TrailEntry] = {}
    for entry in entries[:MOST_LISTED]:
        key = int(entry.about.split()[0].removeprefix("team:"))
        made.setdefault(key, entry)
    names = dict(Team.objects.filter(pk__in=made).values_list("pk", "name"))
    return [
        CalledAlike(entry, entry.contest, entry.values["team"], entry.values["name"], can_be_taken_back(entry))
        for key, entry in made.items()
        if entry.contest and names.get(key) == entry.values["name"]
    ]


def call_as_before(alike: CalledAlike, by: str) -> None:
    """Take back that a club is called as in another contest. Raises NotPossible where anything was built on it."""
    take_back_change(alike.entry, by)
