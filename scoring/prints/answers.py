"""What papers say of answers, which no book holds: only where they come to the points that the paper is made from."""

from __future__ import annotations

from contest.records.answers import Answered
from scoring.core.questions import answers_told, points_of
from scoring.core.record import NO_CARD
from scoring.prints.material import Material


class Answers:
    """The answers of a material, beside the marks of its record."""

    def __init__(self, material: Material) -> None:
        self._answered = material.answered
        self._shows_key = material.released is not None
        self._marks = {(mark.part, mark.number): mark.hundredths for mark in material.record.marks}
        self._here = {person.number for person in material.present}

    def told(self, part: str, number: int) -> list[str]:
        """What somebody is told of their own; nothing of other parts, and where it has changed since it was announced.
        The key is told once results are released."""
        found = self._answered.get(part)
        if found is None or not self._is_as_scored(part, number, found):
            return []
        return answers_told(found.questions, found.rows.get(number, NO_CARD), self._shows_key)

    def as_scored(self, part: str) -> Answered | None:
        """A part whose key is known, with the answers of those who are here; None where anything of it has changed
        since it was announced."""
        found = self._answered.get(part)
        if found is None or found.questions.key is None:
            return None
        if not all(self._is_as_scored(part, number, found) for number in self._here):
            return None
        return Answered(found.questions, {n: row for n, row in found.rows.items() if n in self._here})

    def _is_as_scored(self, part: str, number: int, found: Answered) -> bool:
        worth = points_of(found.questions, found.rows.get(number, NO_CARD))
        return worth == self._marks.get((part, number), 0)
