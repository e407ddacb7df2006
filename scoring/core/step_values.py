"""What each row of a list has in each tie step, worked out again from the scores: for saying how a tie was decided.

The tally ranks by the same values and does not keep them. That both agree is tested on whole contests.
"""

from __future__ import annotations

from fractions import Fraction

from scoring.core.deciding import decided_values, decisions_on
from scoring.core.record import Record
from scoring.core.result import Result, Standing
from scoring.core.sets import seen_in
from scoring.core.steps import StepValues, TeamPart

NOTHING = Fraction(0)


class DivisionValues:
    """Every value of one division's contestants and teams that a tie step may look at."""

    def __init__(self, record: Record, result: Result, listed_division: str) -> None:
        record, result, division = seen_in(record, result, listed_division)
        present = [c for c in record.contestants if c.present and c.division == division]
        present.sort(key=lambda contestant: contestant.number)
        self._row = {contestant.number: row for row, contestant in enumerate(present)}
        members: dict[str, list[int]] = {}
        for row, contestant in enumerate(present):
            if contestant.team:
                members.setdefault(contestant.team, []).append(row)
        categories = {f"part:{part.code}": part.category for part in record.parts}
        self._values = StepValues(
            NOTHING,
            len(present),
            {scores.item: scores.points for scores in result.scores if scores.division == division},
            {
                standing.code: self._column({row.number: row.total for row in (*standing.individuals, *standing.apart)})
                for standing in result.standings
                if standing.division == division
            },
            members,
            [
                TeamPart(scores.item, categories[scores.item], dict(zip(scores.teams, scores.points, strict=True)))
                for scores in result.team_scores
                if scores.division == division
            ],
        )

    def of(self, number: int, step: str) -> Fraction:
        """A contestant's value in a step; 0 in what the division does not do."""
        return self._values.of_contestants(step)[self._row[number]]

    def of_team(self, team: str, counting: tuple[int, ...], step: str) -> Fraction:
        """A team's value in a step, when `counting` are the members who count in the list."""
        return self._values.of_team(step, team, [self._row[number] for number in counting])

    def _column(self, totals: dict[int, Fraction]) -> list[Fraction]:
        return [totals.get(number, NOTHING) for number in self._row]


def individual_keys(record: Record, values: DivisionValues, standing: Standing) -> list[tuple[Fraction, ...]]:
    """The total, the step values and what decisions give, if there are any, of every individual row, in order."""
    keys = [
        (row.total, *(values.of(row.number, step) for step in record.individual_ties)) for row in standing.individuals
    ]
    return _with_decisions(keys, [str(row.number) for row in standing.individuals], record, standing, "individuals")


def team_keys(record: Record, values: DivisionValues, standing: Standing) -> list[tuple[Fraction, ...]]:
    """The total, the step values and what decisions give, if there are any, of every team row, in order."""
    keys = [
        (row.total, *(values.of_team(row.team, row.counting, step) for step in record.team_ties))
        for row in standing.teams
    ]
    return _with_decisions(keys, [row.team for row in standing.teams], record, standing, "teams")


def _with_decisions(
    keys: list[tuple[Fraction, ...]], names: list[str], record: Record, standing: Standing, kind: str
) -> list[tuple[Fraction, ...]]:
    decisions = decisions_on(record, standing.division, standing.code, kind)
    if not decisions:
        return keys
    decided = decided_values(keys, names, decisions)
    return [(*key, Fraction(value)) for key, value in zip(keys, decided, strict=True)]
