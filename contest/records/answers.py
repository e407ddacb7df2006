"""The questions of parts that are scored by an answer key, and what contestants answered, read from the database.

No book has a place for answers: a record holds the points that they come to, as marks.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from contest.models import Choice, Contest, PartKey
from scoring.core.questions import Questions
from scoring.core.record import HUNDREDTHS


@dataclass(frozen=True, slots=True)
class Answered:
    """A part's questions, and what was handed in for it by the numbers of contestants: as it counts by now."""

    questions: Questions
    rows: dict[int, str]


def questions_of(count: int, options: str, worth: str, key: str | None = None) -> Questions:
    """The questions that the columns of a part's row say, and its confirmed key."""
    points = tuple(round(Fraction(figure) * HUNDREDTHS) for figure in worth.split())
    return Questions(options, points * count if len(points) == 1 else points, key)


def answered(contest: Contest) -> dict[str, Answered]:
    """Every part with questions, by its code, in the contest's order."""
    parts = list(contest.parts.filter(questions__gt=0))
    if not parts:
        return {}
    of_parts = PartKey.objects.filter(part__in=parts).exclude(confirmed_by="").order_by("version")
    keys = dict(of_parts.values_list("part_id", "given"))
    found = {
        part.pk: Answered(questions_of(part.questions, part.options, part.worth, keys.get(part.pk)), {})
        for part in parts
    }
    for part_id, number, chosen in Choice.objects.filter(part__in=parts).values_list(
        "part_id", "contestant__number", "chosen"
    ):
        found[part_id].rows[number] = chosen
    return {part.code: found[part.pk] for part in parts}
