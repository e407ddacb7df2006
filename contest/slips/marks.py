"""Marks: points for a part, of a contestant or, where teams do it, of a team."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.shortcuts import get_object_or_404

from contest.models import Contest, Contestant, Mark, MarkReading, Part, Team
from contest.slips.points import PointsSlip
from contest.slips.slip import Place, contestant_of


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
    def gives(self) -> str:
        return f"{self.part.name} gives"

    @property
    def what(self) -> str:
        return f"{self.part.name}, {self.team or f'contestant {self.contestant}'}"[:150]

    @property
    def title(self) -> str:
        team = self.team and f"team {self.team}, {self.team.division}"
        return f"{self.part.name}, {team or f'contestant {self.contestant}'}"

    @property
    def of(self) -> str:
        return self.part.name

    @property
    def owner(self) -> str:
        return f"Team {self.team}, {self.team.division}" if self.team else super().owner

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

    not_due = "does not do this part"

    def why_not_due(self) -> str:
        if not self._is_for_them():
            return f"{self.part.name} is given to {self.part.get_scope_display()}"
        return f"the division of {self.team or self.contestant} does not do {self.part.name}"

    def _is_for_them(self) -> bool:
        return (self.team is not None) == (self.part.scope == Part.Scope.TEAM)
