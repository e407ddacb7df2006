"""How each question of a part with an answer key went, as pages and papers show it."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from django.utils.translation import gettext as _

from contest.records.answers import Answered
from scoring.core.points import as_figure, figure_of_hundredths
from scoring.core.questions import Difficulty, difficulties


def questions_shown(answered: Answered) -> list[dict[str, Any]]:
    """A line a question that has a right answer, in their order."""
    worth = answered.questions.worth
    return [
        _shown(told) | {"worth": figure_of_hundredths(worth[told.question - 1])}
        for told in difficulties(answered.questions, answered.rows.values())
    ]


def _shown(told: Difficulty) -> dict[str, Any]:
    return {
        "question": told.question,
        "key": told.right_answer,
        "right": told.right,
        "of": told.of,
        "percent": round(Fraction(100 * told.right, told.of)) if told.of else None,
        "blank": told.blank,
        "most_taken": ", ".join(told.most_taken),
        "taken": told.taken,
        "tells": "" if told.tells is None else as_figure(f"{told.tells:.2f}"),
        "word": _(told.word),
    }
