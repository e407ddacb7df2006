"""What is told of a card that was found on a page."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from contest.scanning.reader.identity import Identity

Point = tuple[float, float]
OPEN = "_"
"""What stands in an answer sheet's row for a question that a person has to say."""


class Trouble(StrEnum):
    """Why a card goes to a person: codes, which are said in words where they are shown."""

    TWO_MARKS = "two_marks"  # a place has two animals
    IMPOSSIBLE = "impossible"  # an animal has two places
    BLANK_POSITION = "blank_position"  # a place has no animal
    KEPT_AND_CULLED = "kept_and_culled"  # an animal has both marks of a keep/cull card
    NEITHER = "neither"  # an animal of a keep/cull card has no mark
    WRONG_COUNT = "wrong_count"  # more or fewer are kept than the card asks for
    TWO_ANSWERS = "two_answers"  # a question of an answer sheet has two answers or more
    OTHER_FORM = "other_form"  # an answer sheet of other questions than its part has by now
    BLANK = "blank"  # nothing is marked at all: written in words alone, or not handed in
    FAINT = "faint"  # something may be a mark or the remains of one
    CROSSED_OUT = "crossed_out"  # of two marks one is far heavier, as what was struck out is
    NUMBER_UNSURE = "number_unsure"  # a spare's number is not marked, or not unmistakably
    CODE_DAMAGED = "code_damaged"  # something looks like a code of ours and cannot be read
    OTHER_CONTEST = "other_contest"  # signed with another secret: of another contest or year
    NOT_OURS = "not_ours"  # a code that is none of ours; never told of a card, only by `identify`
    UNKNOWN_CLASS = "unknown_class"  # the contest has no such class, or one without a field
    CUT_OFF = "cut_off"  # the field reaches beyond the picture
    BENT = "bent"  # its marks do not lie where a flat card has them
    DARK = "dark"  # too little tells paper from ink


class FoundCard(NamedTuple):
    """A card on a page, whatever could be read of it.

    `corners` are its field's on the page, in pixels: upper left, upper right, lower right, lower left of the card as it
    is read, wherever that points. `picture` is the card upright, a JPEG of at most 40 kB. `identity` is None where no
    code could be read or it is not for this contest. `number_marked` is what is marked on a spare, `placing` the order
    of the animals' labels, the best first, or those of the animals that a keep/cull card keeps, in the order of its
    columns, or the answers of an answer sheet, question by question; either is empty where it is not sure. `guess` is
    an answer sheet's row as far as each question is sure (`answers.py`). A card is `certain` when nothing about
    it is in doubt: then and only then there are no `troubles`. `confidence` is from 0 to 1: how far the card is from
    being read otherwise, 0.5 being the limit of what is certain; for sorting, not a probability. `fills` are rows by
    place, each with the ink in the box of each animal, in mm² of black (`measuring.py`); of a keep/cull card by animal,
    each with that of keep and cull; of an answer sheet by question, each with that of its answers. `washed_out` is a
    copy whose paper was made entirely white: pale marks may be lost.
    """

    corners: tuple[Point, Point, Point, Point]
    picture: bytes
    identity: Identity | None
    number_marked: str
    placing: str
    certain: bool
    confidence: float
    troubles: tuple[Trouble, ...]
    fills: tuple[tuple[float, ...], ...]
    washed_out: bool = False
    guess: str = ""
