"""What the pages about teams show."""

from __future__ import annotations

from typing import Any, NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.entries.matching import nearly
from contest.models import Contestant, Division, Team


class TeamShown(NamedTuple):
    """A team with its members; `wrong` says what the division's rules make of so many, empty where they are right.
    `like` is another team that this one may be a slip of the hand of."""

    team: Team
    members: list[Contestant]
    wrong: str
    like: Team | None

    @property
    def present(self) -> int:
        return competing(self.members)


def competing(members: list[Contestant]) -> int:
    """How many are here and may count for the team."""
    return sum(member.present and not member.alternate for member in members)


def division_shown(division: Division) -> dict[str, Any]:
    """The teams of a division, those that need a look first."""
    teams = list(division.teams.prefetch_related("members"))
    by_name = {team.name: team for team in teams}
    shown = []
    for team in teams:
        members = list(team.members.all())
        wrong = wrong_size(division, competing(members))
        shown.append(TeamShown(team, members, wrong, by_name.get(nearly(team.name, by_name))))
    shown.sort(key=lambda one: not (one.wrong or one.like))
    return {"division": division, "teams": shown, "rule": rule(division)}


def team_shown(team: Team) -> dict[str, Any]:
    division = team.division
    others = {other.name: other for other in division.teams.exclude(pk=team.pk)}
    members = list(team.members.order_by("number"))
    return {
        "team": team,
        "members": members,
        "wrong": wrong_size(division, competing(members)),
        "like": others.get(nearly(team.name, others)),
        "others": bool(others),
    }


def rule(division: Division) -> str:
    """How many members count, in words."""
    count = division.team_counting
    if not count:
        return _("Every member counts.")
    return ngettext("The best member counts.", "The best {count} count.", count).format(count=count)


def wrong_size(division: Division, count: int) -> str:
    """What is wrong with a team of so many members who are present, in words; empty where nothing is."""
    if division.team_most and count > division.team_most:
        text = ngettext("too many: {most} is the most", "too many: {most} are the most", division.team_most)
        return text.format(most=division.team_most)
    if count < division.team_least:
        text = ngettext("too few: {least} is the least", "too few: {least} are the least", division.team_least)
        return text.format(least=division.team_least)
    if count < division.team_counting:
        told = {
            Division.ShortTeam.ZERO: _("short: {count} count, and those missing score 0"),
            Division.ShortTeam.UNRANKED: _("short: {count} count, so the team is not ranked"),
        }
        return told[Division.ShortTeam(division.short_team)].format(count=division.team_counting)
    return ""
