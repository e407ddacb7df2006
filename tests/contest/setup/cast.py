"""What the set-up's tests share."""

from uuid import uuid4

from contest.models import TieStep
from contest.setup.kinds import kind_of
from scoring.core.record import Category, Part
from tests.factories import ClassFactory, DivisionFactory, a_contest


def one_submission():
    return uuid4()


def in_use():
    """A contest in which everything is used: two divisions, two classes, a category, two parts, tie orders."""
    return a_contest(
        divisions=(DivisionFactory(), DivisionFactory(code="JR", name="Junior")),
        categories=(Category("HAL", "Halter"), Category("PER", "Performance")),
        classes=(
            ClassFactory(category="HAL", divisions=("SR", "JR"), reasons=("SR",)),
            ClassFactory(number=2, name="Yearlings", divisions=("SR",), official=None, cuts=None),
        ),
        parts=(
            Part("QUEST", "Questions", ("SR",), 50, "individual", "HAL"),
            Part("TASK", "Team task", ("SR",), 40, "team"),
        ),
        individual_ties=("reasons", "class:2", "category:PER"),
        team_ties=("part:TASK",),
    )


def values_of(row):
    return kind_of(row).values_of(row)


def steps(contest, scope=TieStep.Scope.INDIVIDUAL):
    return [row.step for row in contest.tie_steps.filter(scope=scope)]
