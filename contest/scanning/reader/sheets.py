"""Where everything lies on an answer sheet, in millimetres from its field's upper left corner, as `layout.py` has it of
cards: a row for each question with its number, and a box for each answer, its letter at the left of it.

A sheet is half a page, or a whole one where it has so many questions, or one in large print. Which, and where its boxes
lie, follows from how many questions it has and how many answers each offers; the sheet's code says both.
"""

from __future__ import annotations

from functools import cache
from typing import Final, NamedTuple

from contest.scanning.reader.identity import ANSWERS, Identity
from contest.scanning.reader.layout import CARD, CODE, MARK, Box, Field

_WIDTH = 190.0
_LEFT, _RIGHT = 7.0, 174.0
"""Columns of questions lie between the squares and the codes."""
_WIDEST = 1.2


def _field(height: float, head: float, in_between: bool, digits_left: float = 0.0) -> Field:
    """Of so much height, with so much of the sheet above it; a high one has squares half way down too."""
    half_way = ((0.0, (height - MARK) / 2), (_WIDTH - MARK, (height - MARK) / 2))
    return Field(
        _WIDTH,
        height,
        ((_WIDTH - CODE, 0.0), (_WIDTH - CODE, height - CODE)),
        ((0.0, 0.0), (0.0, height - MARK), *(half_way if in_between else ())),
        shown=(-5.0, -head, _WIDTH + 10.0, head + height + 4.0),
        digits_left=digits_left,
    )


class Form(NamedTuple):
    """How a sheet is laid out: so many `rows` of questions at most below each other, `row` from one to the next; of
    each its number takes `number`, and each answer at least `pitch`, with its `letter` and then its box of `box` by
    `box`. Columns that have room are wider, as far as hands need."""

    field: Field
    rows: int
    row: float
    number: float
    pitch: float
    letter: float
    box: float

    @property
    def gap(self) -> float:
        """Bare paper between boxes that stand above each other."""
        return self.row - self.box

    def columns(self, options: int) -> int:
        """How many fit beside each other."""
        return int((_RIGHT - _LEFT) // (self.number + options * self.pitch))

    def spread(self, columns: int, options: int) -> tuple[float, float]:
        """How wide each of so many columns is, and what an answer has of that."""
        widest = self.pitch * _WIDEST
        width = min((_RIGHT - _LEFT) / columns, self.number + options * widest + self.number / 2)
        return width, min(widest, (width - self.number) / options)


_HEAD, _LARGE_HEAD = 36.0, 78.0
HALF: Final = Form(_field(90.0, _HEAD, False, digits_left=100.0), 15, 6.0, 8.0, 7.9, 2.6, 4.2)
WHOLE: Final = Form(_field(222.0, _HEAD, True, digits_left=100.0), 37, 6.0, 8.0, 7.9, 2.6, 4.2)
LARGE: Final = Form(_field(171.0, _LARGE_HEAD, True), 18, 9.5, 13.0, 13.0, 5.4, 6.2)

FIELDS: Final = (CARD, HALF.field, WHOLE.field, LARGE.field)


def form_of(questions: int, options: int, large: bool = False) -> Form | None:
    """How a sheet of so many questions and answers is laid out; None where it does not fit on one."""
    forms = (LARGE,) if large else (HALF, WHOLE)
    return next((form for form in forms if 0 < questions <= form.rows * form.columns(options)), None)


def form_on(identity: Identity) -> Form | None:
    """How the sheet is laid out that an identity is of; None of a card, or of a sheet that no printer of ours makes."""
    if identity.kind not in ANSWERS:
        return None
    return form_of(identity.questions, identity.options, identity.kind == "large-answers")


def field_on(identity: Identity) -> Field:
    """The field that an identity's card or sheet has."""
    form = form_on(identity)
    return form.field if form else CARD


@cache
def rows_of(form: Form, questions: int, options: int) -> tuple[tuple[float, float, float], ...]:
    """By question where its row begins, at the left and half way down, and what each of its answers has of it: columns
    are as even as can be."""
    columns = -(-questions // form.rows)
    lines = -(-questions // columns)
    width, pitch = form.spread(columns, options)
    return tuple((_LEFT + at // lines * width, (at % lines + 0.5) * form.row, pitch) for at in range(questions))


@cache
def answer_boxes(form: Form, questions: int, options: int) -> tuple[tuple[Box, ...], ...]:
    """By question and then by answer: where a mark chooses it."""
    return tuple(
        tuple(
            Box(left + form.number + at * pitch + form.letter, middle - form.box / 2, form.box, form.box)
            for at in range(options)
        )
        for left, middle, pitch in rows_of(form, questions, options)
    )
