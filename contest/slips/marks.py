"""Marks: points for a part, of a contestant or, where teams do it, of a team."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.models import Contest, Contestant, Mark, MarkReading, Part, Team
from contest.slips.due import Due
from contest.slips.keyed import keyed
from contest.slips.points import PointsSlip, PointsStack, contestant_with
from contest.slips.slip import Place, contestant_of
from contest.trail import sentence
from contest.trail.sentences import Sentence
from scoring.core.points import figure


@dataclass(frozen=True)
class MarkSlip(PointsSlip):
    part: Part
    contestant: Contestant | None
    team: Team | None

    name = "mark"
    readings = MarkReading
    results = Mark
    about = identified_by = ("part", "contestant", "team")
    related = ("team__division",)
    places = ("number", "team", "part")
    paths = {"mark": "marks/<int:part>/<int:number>/", "team-mark": "marks/<int:part>/teams/<int:team>/"}

    @classmethod
    def of_owner(cls, part: Part, owner: Contestant | Team) -> MarkSlip:
        return cls(part, None, owner) if isinstance(owner, Team) else cls(part, owner, None)

    @classmethod
    def at(cls, contest: Contest, part: int, number: int = 0, team: int = 0) -> MarkSlip:  # type: ignore[override]  # the same
        scope = Part.Scope.TEAM if team else Part.Scope.INDIVIDUAL
        row = get_object_or_404(contest.parts.select_related("contest"), pk=part, scope=scope)
        if not team:
            people = contest.contestants.select_related("division")
            return cls.of_owner(row, get_object_or_404(people, number=number))
        teams = Team.objects.select_related("division")
        return cls.of_owner(row, get_object_or_404(teams, pk=team, division__contest=contest))

    def elsewhere(self, values: dict[str, Any]) -> MarkSlip:
        owner = values["team"] if self.team else contestant_of(self.contest, values["number"])
        return MarkSlip.of_owner(values["part"] or self.part, owner)

    @property
    def contest(self) -> Contest:
        return self.part.contest

    @property
    def most(self) -> int:
        return self.part.most

    @property
    def bounds(self) -> str:
        return _("{part} gives 0 to {most} points").format(part=self.part.name, most=figure(self.most))

    def said(self, done: str) -> Sentence:
        if self.team:
            return sentence(f"team_mark_{done}", part=self.part.name, team=self.team.name)
        assert self.contestant is not None
        return sentence(f"mark_{done}", part=self.part.name, contestant=self.contestant.number)

    @property
    def title(self) -> str:
        if self.team:
            text, division = _("{part}, team {team}, {division}"), self.team.division
            return text.format(part=self.part.name, team=self.team, division=division)
        return _("{part}, contestant {number}").format(part=self.part.name, number=self.contestant)

    @property
    def of(self) -> str:
        return self.part.name

    @property
    def owner(self) -> str:
        if self.team:
            return _("Team {team}, {division}").format(team=self.team, division=self.team.division)
        return super().owner

    @property
    def whose(self) -> str:
        return str(self.team or self.contestant)

    @property
    def stack(self) -> MarkStack:
        return MarkStack(self.part)

    @property
    def place(self) -> Place:
        if self.team:
            return Place("team-mark", (self.part.pk, self.team.pk))
        assert self.contestant is not None
        return Place("mark", (self.part.pk, self.contestant.number))

    @property
    def listed(self) -> Place:
        return Place("scores-part", (self.part.code,))

    def is_due(self) -> bool:
        owner = self.team or self.contestant
        assert owner is not None
        return self._is_for_them() and self.part.divisions.filter(pk=owner.division_id).exists()

    not_due = gettext_lazy("does not do this part")

    def why_not_due(self) -> str:
        if self.part.has_key:
            return str(keyed(self.part).no_mark).format(part=self.part.name)
        if not self._is_for_them():
            text = _("{part} is given to {scope}")
            return text.format(part=self.part.name, scope=self.part.get_scope_display())
        owner = self.team or self.contestant
        return _("the division of {owner} does not do {part}").format(owner=owner, part=self.part.name)

    def _is_for_them(self) -> bool:
        return (self.team is not None) == (self.part.scope == Part.Scope.TEAM) and not self.part.has_key


@dataclass(frozen=True)
class MarkStack(PointsStack):
    """The marks of one part, of contestants or of teams."""

    part: Part

    kind = MarkSlip

    @property
    def most(self) -> int:
        return self.part.most

    @property
    def by_name(self) -> bool:
        return self.part.scope == Part.Scope.TEAM

    @property
    def name(self) -> str:
        return self.part.name

    @property
    def place(self) -> Place:
        return Place("scores-marks-sheet", (self.part.code,))

    @property
    def divisions(self) -> set[int]:
        return {division.pk for division in self.part.divisions.all()}

    def not_due(self, number: int) -> str:
        text = _("{number} does not do {part}, so there is no score to enter.")
        return text.format(number=number, part=self.part.name)

    @one_snapshot()
    def slips(self, who: str) -> list[Due]:
        """Those of teams are of the teams of which somebody is here, by division and name."""
        if not self.by_name:
            return super().slips(who)
        known = self.known(who)
        here = Contestant.objects.filter(contest=self.contest, present=True, division__in=self.divisions)
        teams = Team.objects.filter(pk__in=here.values("team")).order_by("division__position", "division_id", "name")
        rows = enumerate(teams.values_list("pk", "name", "division__name"), start=1)
        return [Due.of_team(pk, known, place, name, division) for place, (pk, name, division) in rows]

    def slip(self, of: int) -> MarkSlip:
        if not self.by_name:
            return MarkSlip.of_owner(self.part, contestant_with(self.contest, of))
        team = Team.objects.filter(pk=of, division__contest=self.contest).first()
        if team is None:
            raise NotPossible(_("that team is not in this contest any more"))
        return MarkSlip.of_owner(self.part, team)
