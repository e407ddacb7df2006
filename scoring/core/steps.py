"""What each row of a list has in each tie step, worked out again from the scores: for saying how a tie was decided.

The tally ranks by the same values and does not keep them. That both agree is tested on whole contests.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction

from scoring.core.record import Record
from scoring.core.result import OVERALL, PLACING, REASONS, Result, Standing

NOTHING = Fraction(0)


class StepValues:
    """Every value of one division's contestants and teams that a tie step may look at."""

    def __init__(self, record: Record, result: Result, division: str) -> None:
        self._record = record
        self._individual: dict[str, dict[int, Fraction]] = {}
        self._items: dict[str, dict[int, Fraction]] = {
            scores.item: dict(zip(scores.numbers, scores.points, strict=True))
            for scores in result.scores
            if scores.division == division
        }
        self._lists: dict[str, dict[int, Fraction]] = {
            standing.code: {row.number: row.total for row in standing.individuals}
            for standing in result.standings
            if standing.division == division
        }
        self._team_items: dict[str, dict[str, Fraction]] = {
            scores.item: dict(zip(scores.teams, scores.points, strict=True))
            for scores in result.team_scores
            if scores.division == division
        }
        self._categories = {f"part:{part.code}": part.category for part in record.parts}
        self._members: defaultdict[str, set[int]] = defaultdict(set)
        for contestant in record.contestants:
            if contestant.present and contestant.team and contestant.division == division:
                self._members[contestant.team].add(contestant.number)

    def of(self, number: int, step: str) -> Fraction:
        """A contestant's value in a step; 0 in what the division does not do."""
        if step not in self._individual:
            self._individual[step] = self._column(step)
        return self._individual[step].get(number, NOTHING)

    def of_team(self, team: str, counting: Sequence[int], step: str) -> Fraction:
        """A team's value in a step, when `counting` are the members who count in the list."""
        if step == "left-out":
            others = self._members[team].difference(counting)
            return max((self.of(number, "total") for number in others), default=NOTHING)
        if step in self._team_items:
            return self._team_items[step].get(team, NOTHING)
        own = NOTHING
        category = step.removeprefix("category:") if step.startswith("category:") else None
        if step == "total" or category is not None:
            for item, points in self._team_items.items():
                if category is None or self._categories[item] == category:
                    own += points.get(team, NOTHING)
        return own + sum((self.of(number, step) for number in counting), NOTHING)

    def _column(self, step: str) -> dict[int, Fraction]:
        kind, _, name = step.partition(":")
        if step == "total":
            return self._lists.get(OVERALL, {})
        if step in (PLACING, REASONS):
            return self._lists.get(step, {})
        if step == "best-class":
            best: dict[int, Fraction] = {}
            for item, column in self._items.items():
                if item.startswith("class:"):
                    for number, points in column.items():
                        best[number] = max(points, best.get(number, points))
            return best
        if kind == "category":
            return self._lists.get(name, {})
        return self._items.get(step, {})


def individual_keys(record: Record, values: StepValues, standing: Standing) -> list[tuple[Fraction, ...]]:
    """The total and the step values of every individual row, in the list's order."""
    return [
        (row.total, *(values.of(row.number, step) for step in record.individual_ties)) for row in standing.individuals
    ]


def team_keys(record: Record, values: StepValues, standing: Standing) -> list[tuple[Fraction, ...]]:
    """The total and the step values of every team row, in the list's order."""
    return [
        (row.total, *(values.of_team(row.team, row.counting, step) for step in record.team_ties))
        for row in standing.teams
    ]
