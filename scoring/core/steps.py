"""The table of tie steps: what each is called, its words, what it looks at, and how its value is worked out.

A new step is one entry in STEPS: the book, the tally, the pages and the database's own check all read it from there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Generic, Literal, NamedTuple, Protocol, TypeVar

from scoring.core.result import OVERALL, PLACING, REASONS
from scoring.core.texts import gettext_noop as _

Reference = Literal["class", "category", "part"]
Points = TypeVar("Points", bound=int | Fraction)  # the tally's whole units, or the points of a result


class TeamPart(NamedTuple, Generic[Points]):
    """What the teams of a division have in a team part, such as the item `part:TASK`; a team without a mark has 0."""

    item: str
    category: str
    marks: Mapping[str, Points]


class StepValues(Generic[Points]):
    """What one division's contestants and teams have in each tie step.

    Contestants are the rows of columns of one length: `items` has them by `class:1`, `reasons:1` or `part:QUEST`,
    `lists` those of totals by list; what is in neither is worth `zero` to each of `nothing`. `members` are each team's
    rows.
    """

    def __init__(
        self,
        zero: Points,
        rows: int,
        items: Mapping[str, Sequence[Points]],
        lists: Mapping[str, Sequence[Points]],
        members: Mapping[str, Sequence[int]],
        team_parts: Sequence[TeamPart[Points]],
    ) -> None:
        self.zero = zero
        self.nothing: Sequence[Points] = [zero] * rows
        self.items = items
        self.lists = lists
        self.members = members
        self.team_parts = team_parts
        self._columns: dict[str, Sequence[Points]] = {}

    def of_contestants(self, written: str) -> Sequence[Points]:
        """Every contestant's value in a step as the book writes it, such as `class:3`."""
        if written not in self._columns:
            step, name = read_step(written)
            self._columns[written] = step.of_contestants(self, name)
        return self._columns[written]

    def of_team(self, written: str, team: str, counting: Sequence[int]) -> Points:
        """A team's value, when `counting` are the rows of its members who count in the list that is ranked."""
        step, name = read_step(written)
        return step.of_team(self, name, team, counting, self.of_contestants(written))


class OfContestants(Protocol):
    def __call__(self, values: StepValues[Points], name: str, /) -> Sequence[Points]: ...


class OfTeam(Protocol):
    def __call__(
        self, values: StepValues[Points], name: str, team: str, counting: Sequence[int], column: Sequence[Points], /
    ) -> Points: ...


def _in_list(code: str = "") -> OfContestants:
    """The totals in a list; in that of the category which the step names, where no list is given."""

    def totals(values: StepValues[Points], name: str) -> Sequence[Points]:
        return values.lists.get(code or name, values.nothing)

    return totals


def _in_item(kind: str) -> OfContestants:
    def points(values: StepValues[Points], name: str) -> Sequence[Points]:
        return values.items.get(f"{kind}:{name}", values.nothing)

    return points


def _best_class(values: StepValues[Points], name: str) -> Sequence[Points]:
    placings = [column for item, column in values.items.items() if item.startswith("class:")]
    return list(map(max, zip(*placings, strict=True))) if placings else values.nothing


def _summed(
    values: StepValues[Points], name: str, team: str, counting: Sequence[int], column: Sequence[Points]
) -> Points:
    return sum(map(column.__getitem__, counting), values.zero)


def _best_left_out(
    values: StepValues[Points], name: str, team: str, counting: Sequence[int], column: Sequence[Points]
) -> Points:
    return max((column[row] for row in values.members[team] if row not in counting), default=values.zero)


def _summed_with(own: Callable[[str, str, str], bool]) -> OfTeam:
    """The sum over the members and those of the team's own parts for whose item and category `own` is true."""

    def of_team(
        values: StepValues[Points], name: str, team: str, counting: Sequence[int], column: Sequence[Points]
    ) -> Points:
        parts = (
            marks.get(team, values.zero) for item, category, marks in values.team_parts if own(item, category, name)
        )
        return sum(parts, _summed(values, name, team, counting, column))

    return of_team


@dataclass(frozen=True, slots=True)
class Step:
    """One kind of tie step.

    `words` are a noun phrase ("decided by ..."), `ahead_on` what one row is ahead on, and `teams_ahead_on` the same of
    a team where it differs; `{name}` in them is that of what the step looks at. A step of a team is the sum over its
    counting members, unless `of_team` says something else.
    """

    code: str
    words: str
    ahead_on: str
    of_contestants: OfContestants
    of_team: OfTeam = _summed
    looks_at: Reference | None = None
    teams_only: bool = False
    teams_ahead_on: str = ""

    def written(self, name: object) -> str:
        """The step as the book writes it, where `name` is the number of its class, or its category's or part's code."""
        return f"{self.code}:{name}" if self.looks_at else self.code


STEPS: dict[str, Step] = {
    step.code: step
    for step in (
        Step(
            "total",
            _("overall total"),
            _("the overall total"),
            _in_list(OVERALL),
            _summed_with(lambda item, category, name: True),
        ),
        Step("reasons", _("all reasons"), _("reasons"), _in_list(REASONS)),
        Step("placing", _("all placing scores"), _("placings"), _in_list(PLACING)),
        Step(
            "best-class",
            _("highest single placing score"),
            _("the best single class"),
            _best_class,
            teams_ahead_on=_("its members’ best single classes"),
        ),
        Step(
            "left-out",
            _("best member who does not count"),
            _("the best member who does not count"),
            _in_list(OVERALL),
            _best_left_out,
            teams_only=True,
        ),
        Step("class", _("placing score in class {name}"), _("class {name}"), _in_item("class"), looks_at="class"),
        Step(
            "category",
            _("total in {name}"),
            "{name}",
            _in_list(),
            _summed_with(lambda item, category, name: category == name),
            looks_at="category",
        ),
        Step(
            "part",
            "{name}",
            "{name}",
            _in_item("part"),
            _summed_with(lambda item, category, name: item == f"part:{name}"),
            looks_at="part",
        ),
    )
}


def find_step(written: str) -> tuple[Step, str] | None:
    """The kind of a step that the book writes like this, and the name of what it looks at; None for what is no step."""
    code, colon, name = written.partition(":")
    step = STEPS.get(code)
    return (step, name) if step and bool(colon) == bool(step.looks_at) else None


def read_step(written: str) -> tuple[Step, str]:
    """The same of what is known to be a step."""
    step = find_step(written)
    assert step, f"{written!r} is no tie step"
    return step


def possible_steps(named: Mapping[Reference, Iterable[object]], of_teams: bool) -> list[str]:
    """Every step that a tie order may hold, as the book writes it; `named` are the names of what may be looked at."""
    return [
        step.written(name)
        for step in STEPS.values()
        if of_teams or not step.teams_only
        for name in (named[step.looks_at] if step.looks_at else [""])
    ]
