"""Where everything lies in the field of a card, in millimetres from the field's upper left corner.

The print shop draws from this and the reader measures by it, on every paper the same. Two square codes stand at the
right, two solid squares at the left: a code alone tells where the card lies and which way it points, all four tell how
it is bent or seen from aside. In between each place has a box to write in, and below it a box for each animal.
"""

from __future__ import annotations

from functools import cache
from typing import Final, NamedTuple

MODULES: Final = 21
"""Dark or light squares along a side of a code, which is a QR code of version 1."""
CODE: Final = 13.0
MARK: Final = 4.0
LINE: Final = 0.3
"""How thick the boxes are drawn, around their inside edge."""


class Field(NamedTuple):
    """A field: its size, the upper left corners of its two codes and of its solid squares, and the part around it that
    a picture of its card shows (left, top, width, height). Digits to mark begin at `digits_left`, above it."""

    width: float
    height: float
    codes: tuple[tuple[float, float], tuple[float, float]]
    marks: tuple[tuple[float, float], ...]
    shown: tuple[float, float, float, float]
    digits_left: float = 0.0

    @property
    def middle(self) -> tuple[float, float]:
        return self.width / 2, self.height / 2

    @property
    def spare_mark(self) -> tuple[float, float]:
        """The solid square beside the digits of a spare."""
        return self.digits_left, DIGITS_FROM


FEWEST, MOST = 3, 6
"""Of how many animals a class may be that its cards have a field: boxes for more would be too small to mark."""
WIDTH: Final = 89.0
HEIGHT: Final = 54.0
CODES: Final = ((WIDTH - CODE, 0.0), (WIDTH - CODE, HEIGHT - CODE))
MARKS: Final = ((0.0, 0.0), (0.0, HEIGHT - MARK))
CARD: Final = Field(WIDTH, HEIGHT, CODES, MARKS, shown=(-6.0, -62.0, WIDTH + 12.0, HEIGHT + 66.0))
"""The field of every card; an answer sheet has one of its own (`sheets.py`). Of a card its picture shows all from the
class and the number at its head on."""

# Columns of places, and rows of animals; labels stand in the gap at the left of their box.
_LEFT, _RIGHT = 7.0, 73.5
_WIDEST = 16.5
_HEAD = 4.6
_WRITTEN, _WRITTEN_OF_MANY = 12.4, 9.4
_BELOW_WRITTEN, _HIGHEST = 2.0, 8.9
_LABEL = 3.6
GAP: Final = 1.8
"""Bare paper between boxes that stand above each other."""

# A keep/cull card's own: a column for each animal, with a row to mark what is kept and one for what is culled.
FEWEST_KEPT_FROM, MOST_KEPT_FROM = 4, 10
"""Of how many animals a keep/cull part may be that its cards have a field: boxes for more would be too narrow."""
_KEPT_LEFT, _KEPT_WIDEST, _BESIDE_KEPT = 15.0, 9.5, 1.4
_KEPT_TOPS: Final = (9.0, 31.0)
_KEPT_HIGH: Final = 14.0

# A spare's own: rows of digits above the field, for a number of up to four.
DIGITS: Final = 4
DIGITS_FROM: Final = -22.4
_DIGITS_HEAD, _DIGIT_ROW = 3.4, 4.6
_DIGIT_LABEL = 2.4
DIGIT_GAP: Final = 1.1
DIGITS_HEIGHT: Final = _DIGITS_HEAD + DIGITS * _DIGIT_ROW


class Box(NamedTuple):
    left: float
    top: float
    width: float
    height: float

    @property
    def middle(self) -> tuple[float, float]:
        return self.left + self.width / 2, self.top + self.height / 2


def _pitch(animals: int) -> float:
    return min(_WIDEST, (_RIGHT - _LEFT) / animals)


def _written(animals: int) -> float:
    """How high the box to write in is: lower where many animals need the height for boxes that can be marked."""
    return _WRITTEN if animals <= 4 else _WRITTEN_OF_MANY


@cache
def places(animals: int) -> tuple[Box, ...]:
    """By place: where its animal is written, below its heading."""
    pitch = _pitch(animals)
    return tuple(
        Box(_LEFT + place * pitch + _LABEL / 2, _HEAD, pitch - _LABEL / 2, _written(animals))
        for place in range(animals)
    )


@cache
def boxes(animals: int) -> tuple[tuple[Box, ...], ...]:
    """By place and then by animal: where a mark gives the place to the animal."""
    rows_from = _HEAD + _written(animals) + _BELOW_WRITTEN
    pitch, row = _pitch(animals), min(_HIGHEST, (HEIGHT - rows_from) / animals)
    return tuple(
        tuple(
            Box(_LEFT + place * pitch + _LABEL, rows_from + animal * row, pitch - _LABEL - GAP / 2, row - GAP)
            for animal in range(animals)
        )
        for place in range(animals)
    )


@cache
def kept_boxes(animals: int) -> tuple[tuple[Box, Box], ...]:
    """By animal: where a mark keeps it, and where one culls it."""
    pitch = min(_KEPT_WIDEST, (_RIGHT - _KEPT_LEFT) / animals)
    keep, cull = (
        [
            Box(_KEPT_LEFT + at * pitch + _BESIDE_KEPT / 2, top, pitch - _BESIDE_KEPT, _KEPT_HIGH)
            for at in range(animals)
        ]
        for top in _KEPT_TOPS
    )
    return tuple(zip(keep, cull, strict=True))


@cache
def digit_boxes(from_left: float = 0.0) -> tuple[tuple[Box, ...], ...]:
    """Of a spare, by position from the thousands on and then by digit from 0; `Field.digits_left` says from where."""
    pitch = (_RIGHT - _LEFT) / 10
    return tuple(
        tuple(
            Box(
                from_left + _LEFT + digit * pitch + _DIGIT_LABEL,
                DIGITS_FROM + _DIGITS_HEAD + at * _DIGIT_ROW,
                pitch - _DIGIT_LABEL - 0.4,
                _DIGIT_ROW - DIGIT_GAP,
            )
            for digit in range(10)
        )
        for at in range(DIGITS)
    )
