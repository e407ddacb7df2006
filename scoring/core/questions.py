"""Questions by answer: what a row of answers comes to by the answer key, in words, and what each question told.

A row holds one sign a question: the letter that was chosen, BLANK, or UNCLEAR where two are marked or none can be made
out, which is wrong. The key holds the right letter, NOBODY for a question that counts for nobody, or EVERYBODY for one
that everybody gets who handed a sheet in that can be read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

from scoring.core.points import figure_of_hundredths
from scoring.core.record import NO_CARD, UNREADABLE
from scoring.core.texts import gettext as _
from scoring.core.texts import gettext_noop, ngettext

FEWEST_QUESTIONS, MOST_QUESTIONS = 2, 100
FEWEST_OPTIONS, MOST_OPTIONS = 2, 8
"""Ours: what fits on a sheet, and on a screen."""

BLANK, UNCLEAR = "-", "*"
NOBODY, EVERYBODY = "-", "*"

ENOUGH_SHEETS = 10
"""Of fewer sheets nothing is said of how a question tells strong from weak. Ours: a correlation of nine pairs must
exceed 0.67 to be told from none."""


@dataclass(frozen=True, slots=True)
class Questions:
    """The questions of a part: the letters that each offers, its points in hundredths, and the key, None until two
    people agree on it."""

    options: str
    worth: tuple[int, ...]
    key: str | None = None

    @property
    def counting(self) -> list[int]:
        """The places, from 0, of the questions that count; all of them until the key says otherwise."""
        return [place for place in range(len(self.worth)) if self.key is None or self.key[place] != NOBODY]


class Wrong(NamedTuple):
    """A question, counted from 1, that earned nothing: what was given, and what is right."""

    question: int
    given: str
    right: str


def earned(questions: Questions, row: str) -> tuple[int, ...]:
    """What each question earns, in hundredths; nothing without a sheet, without a key, or where it cannot be read."""
    if questions.key is None or row in (NO_CARD, UNREADABLE):
        return (0,) * len(questions.worth)
    answered = zip(questions.worth, questions.key, row, strict=True)
    return tuple(worth if right == EVERYBODY or given == right != NOBODY else 0 for worth, right, given in answered)


def points_of(questions: Questions, row: str) -> int:
    """What a row of answers is worth, in hundredths."""
    return sum(earned(questions, row))


def wrong_answers(questions: Questions, row: str) -> list[Wrong]:
    """The questions that count and earned nothing, in order; none of a sheet that is missing or cannot be read."""
    if questions.key is None or row in (NO_CARD, UNREADABLE):
        return []
    answered = enumerate(zip(questions.key, row, strict=True), start=1)
    return [Wrong(place, given, right) for place, (right, given) in answered if right not in (NOBODY, EVERYBODY, given)]


def misread_points(questions: Questions, row: str) -> list[int]:
    """What each single answer that was read wrongly would add to a row's points, in hundredths: what was read as right
    may be wrong on the paper, and the other way round."""
    lost = {wrong.question - 1 for wrong in wrong_answers(questions, row)}
    if questions.key is None or row in (NO_CARD, UNREADABLE):
        return []
    decided = [place for place in questions.counting if questions.key[place] != EVERYBODY]
    return [questions.worth[place] * (1 if place in lost else -1) for place in decided]


def answers_told(questions: Questions, row: str, shows_key: bool) -> list[str]:
    """A row as it is told to whoever gave it: how many are right and, where the key may be seen, each that is wrong.

    Such as `23 of 25 right`, `wrong: 3 (you B, key D), 9 (blank, key A)`.
    """
    if row == NO_CARD:
        return [_("no answer sheet")]
    if row == UNREADABLE:
        return [_("the answer sheet could not be read")]
    if questions.key is None:
        return [_("the answer key is not in yet")]
    wrong, counting = wrong_answers(questions, row), questions.counting
    told = [_("{right} of {all} right").format(right=len(counting) - len(wrong), all=len(counting))]
    if shows_key and wrong:
        told.append(_("wrong: {questions}").format(questions=", ".join(map(_in_words, wrong))))
    out = [place for place in range(1, len(questions.worth) + 1) if place - 1 not in counting]
    if out:
        words = ngettext("question {out} counts for nobody", "questions {out} count for nobody", len(out))
        told.append(words.format(out=", ".join(map(str, out))))
    return told


def _in_words(wrong: Wrong) -> str:
    words = {
        BLANK: _("{question} (blank, key {right})"),
        UNCLEAR: _("{question} (not clear, key {right})"),
    }.get(wrong.given, _("{question} (you {given}, key {right})"))
    return words.format(question=wrong.question, given=wrong.given, right=wrong.right)


class Difficulty(NamedTuple):
    """How one question went: how many of so many sheets have it right, and how well it tells strong from weak.

    `most_taken` is the wrong letter that was chosen most often and `taken` how often; empty where none was, and all of
    those that share it. `tells` is the correlation of having it right with the points of all other questions (the
    point-biserial coefficient, -1 to 1); None of too few sheets, and where all did alike.
    """

    question: int
    right_answer: str
    right: int
    blank: int
    of: int
    most_taken: str
    taken: int
    tells: float | None

    @property
    def share(self) -> float | None:
        return self.right / self.of if self.of else None

    @property
    def word(self) -> str:
        """What `tells` means, a text to be translated. The limits are common practice, written down from
        memory, but for the one below 0, which is ours: a little less than 0 is chance."""
        if self.tells is None:
            return gettext_noop("cannot be told")
        if self.tells < -0.2:
            return gettext_noop("the wrong way round: look at its key")
        if self.tells < 0.2:
            return gettext_noop("hardly")
        return gettext_noop("somewhat") if self.tells < 0.3 else gettext_noop("well")


def difficulties(questions: Questions, rows: Iterable[str]) -> list[Difficulty]:
    """How each question that has a right answer went, of the sheets that can be read."""
    if questions.key is None:
        return []
    sheets = [row for row in rows if row not in (NO_CARD, UNREADABLE)]
    points = [earned(questions, row) for row in sheets]
    totals = [sum(of_sheet) for of_sheet in points]
    return [
        _difficulty(
            place, right, [row[place] for row in sheets], [t - p[place] for t, p in zip(totals, points, strict=True)]
        )
        for place, right in enumerate(questions.key)
        if right not in (NOBODY, EVERYBODY)
    ]


def _difficulty(place: int, right: str, given: Sequence[str], others: Sequence[int]) -> Difficulty:
    wrong = Counter(letter for letter in given if letter not in (right, BLANK, UNCLEAR))
    most = max(wrong.values(), default=0)
    taken = "".join(sorted(letter for letter, times in wrong.items() if times == most))
    hits = [letter == right for letter in given]
    tells = correlation(hits, others) if len(given) >= ENOUGH_SHEETS else None
    return Difficulty(place + 1, right, sum(hits), given.count(BLANK), len(given), taken, most, tells)


def correlation(hits: Sequence[bool], points: Sequence[int]) -> float | None:
    """The point-biserial coefficient of a yes or no with some points; None where all did alike.

    All of it in whole numbers but the last root and division, so that no rounding makes something of nothing.
    """
    count, right = len(hits), sum(hits)
    total = sum(points)
    of_points = count * sum(p * p for p in points) - total * total
    of_hits = right * (count - right)
    if not of_points or not of_hits:
        return None
    together = count * sum(p for p, hit in zip(points, hits, strict=True) if hit) - right * total
    return together / sqrt(of_points * of_hits)


def in_fives(row: str) -> str:
    """Signs as people read them: `ABDCA CBADE`."""
    return " ".join(row[at : at + 5] for at in range(0, len(row), 5))


def worth_in_words(worth: Sequence[int]) -> str:
    """What the questions are worth, as it is typed: one figure where all are worth the same."""
    return " ".join(map(figure_of_hundredths, worth if len(set(worth)) > 1 else worth[:1]))
