"""Marks: points for a part, of a contestant or, where teams do it, of a team."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.shortcuts import get_object_or_404

from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.models import Contest, Contestant, Mark, MarkReading, Part, Team
from contest.slips.due import Due
from contest.slips.points import PointsSlip, PointsStack, contestant_with
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

    not_due = "does not do this part"

    def why_not_due(self) -> str:
        if not self._is_for_them():
            return f"{self.part.name} is given to {self.part.get_scope_display()}"
        return f"the division of {self.team or self.contestant} does not do {self.part.name}"

    def _is_for_them(self) -> bool:
        return (self.team is not None) == (self.part.scope == Part.Scope.TEAM)


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

    @property
    def not_due(self) -> str:
        return f"does not do {self.part.name}"

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
            raise NotPossible("that team is not in this contest any more")
        return MarkSlip.of_owner(self.part, team)
