"""What the marks of an answer sheet say: each question by itself, with one answer marked or clearly none.

A sheet has many questions, and whoever filled it in has one pen: so how dark a mark is, and how bare a box, is held
against all marks of the sheet (`deciding.py` has the limits). A question that is not sure does not take the others with
it: what is sure of them is offered to whoever looks at the sheet.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from contest.scanning.reader.deciding import (
    ALIKE,
    BARE_WASHED_OUT,
    DARK,
    HEAVIER,
    LEAST,
    MARKED,
    PALER,
    PATCH,
    STAIN,
    bare_washed_out,
    is_mark,
)
from contest.scanning.reader.found import OPEN, Trouble
from contest.scanning.reader.measuring import SHADE, Ink
from scoring.core.questions import BLANK, UNCLEAR

BARE = 0.048
"""A box is bare where no line in it is darker than this, a part of the way from paper to black."""
AT_EDGE, SPREAD = 0.15, 5.0
"""mm² of black: so much more than others a bare box has at most up to its outline, or so many times what half of them
differ by, lest a mark lie at its very edge."""
NONE = 0.5
"""Of a question without a mark the boxes are so much barer than those beside a mark have to be: nothing else tells that
a hardly visible mark is none. A copy that washes out what is pale has limits as strict for all boxes."""
STRONG = 0.25
"""On such a copy a question is certain to have no mark only if all marks of its sheet are so dark: of paler ones the
next may be lost altogether. Those that are hardly left are not to pass for what a copy has in all its boxes either."""
BESIDE_A_MARK = 2.0
"""So much more may lie at the edge of a box of a question that has a mark, which often reaches out of its own."""
NEAR, OFF = 6, 0.2
"""Where a sheet is a little off, outlines reach in, and in boxes of the same answer so many rows up and down alike: up
to so much more than in the middle one of the sheet."""


class Answered(NamedTuple):
    """A sheet's row of answers, empty where anything of it is in doubt; how sure it is (`FoundCard.confidence`); what
    is in doubt; and the row as far as each question by itself is sure, with OPEN in the place of others."""

    text: str
    confidence: float
    troubles: tuple[Trouble, ...]
    guess: str


def answers_of(
    inks: Sequence[Sequence[Ink]], alls: Sequence[Sequence[float]], options: str, washed_out: bool = False
) -> Answered:
    """The answers by the ink in the boxes of each question, by answer; `alls` is all of it, up to the outlines."""
    chosen = [_chosen(row, washed_out) for row in inks]
    marks = [row[at] for row, at in zip(inks, chosen, strict=True) if at is not None]
    if not marks:
        return Answered("", 0.0, (Trouble.BLANK,), "")
    sheet = _Sheet.of(inks, alls, chosen, washed_out)
    more = [sheet.more_than_near(alls, chosen, question) for question in range(len(alls))]
    told = [sheet.told(row, edge, at, options) for row, edge, at in zip(inks, more, chosen, strict=True)]
    guess = "".join(sign for sign, *_ in told)
    confidence = min(far for _, far, _ in told)
    troubles = tuple(dict.fromkeys(trouble for *_, found in told for trouble in found))
    return Answered("" if troubles else guess, confidence, troubles, guess)


def _chosen(row: Sequence[Ink], washed_out: bool) -> int | None:
    """The answer that is marked, likely; None where none is. A pale mark that fills its box evenly, or is small, has
    next to no ink beyond its shade: it is one where nothing is anywhere in the other boxes, nor specks of a copier."""
    most = int(np.argmax([ink.ink for ink in row]))
    if is_mark(row[most]):
        return most
    darkest = int(np.argmax([ink.dark for ink in row]))
    others = [ink.dark for at, ink in enumerate(row) if at != darkest]
    stands_alone = row[darkest].dark >= DARK and max(others, default=0.0) <= PALER * row[darkest].dark
    return darkest if stands_alone and not washed_out else None


class _Sheet(NamedTuple):
    """What tells a mark of this sheet from a bare box, which holds so much more than the `middle` one at `most`."""

    line: float
    palest: float
    usual: float
    middle: float
    most: float
    washed_out: bool

    @classmethod
    def of(
        cls,
        inks: Sequence[Sequence[Ink]],
        alls: Sequence[Sequence[float]],
        chosen: Sequence[int | None],
        washed_out: bool,
    ) -> _Sheet:
        marks = [row[at].dark for row, at in zip(inks, chosen, strict=True) if at is not None]
        usual = float(np.median(marks))
        # One that is too pale is in doubt itself, and tells nothing of the others.
        palest = min(mark for mark in marks if mark >= ALIKE * usual)
        line = BARE
        if washed_out:
            line = bare_washed_out(inks, chosen) if palest >= STRONG else BARE_WASHED_OUT
        bare = [one for row, of in zip(alls, chosen, strict=True) for at, one in enumerate(row) if at != of]
        middle = float(np.median(bare))
        most = max(AT_EDGE, SPREAD * float(np.median(np.abs(np.array(bare) - middle))))
        return cls(min(line, PALER * palest), palest, usual, middle, most, washed_out)

    def more_than_near(self, alls: Sequence[Sequence[float]], chosen: Sequence[int | None], question: int) -> float:
        """How much more a bare box of a question has up to its outline than those near it, at most."""
        near = range(max(0, question - NEAR), min(len(alls), question + NEAR + 1))
        found = []
        for at, one in enumerate(alls[question]):
            if at != chosen[question]:
                there = [alls[other][at] for other in near if chosen[other] != at]
                usual = float(np.percentile(there, 25))
                found.append(one - min(max(usual, self.middle), self.middle + OFF))
        return max(found)

    def told(
        self, row: Sequence[Ink], edge: float, at: int | None, options: str
    ) -> tuple[str, float, tuple[Trouble, ...]]:
        """A question's sign, how far it is from being read otherwise, and what is in doubt about it. `edge` is how much
        more than others a bare box of it has at its edge."""
        marks = [] if at is None else [row[at]]
        others = [place for place in range(len(row)) if place != at]
        line = self.line * NONE if at is None and not self.washed_out else self.line
        far = _how_far(marks, [row[place] for place in others], line, self.palest, self.usual)
        most = self.most if at is None else BESIDE_A_MARK * self.most
        far = min(far, round(most / (most + max(0.0, edge)), 3))
        if at is None and self.washed_out and self.palest < STRONG:
            far = min(far, 0.49)
        if far >= 0.5:
            return (BLANK if at is None else options[at]), far, ()
        marked = [ink for ink in row if ink.ink >= MARKED and ink.line > self.line]
        if len(marked) < 2:
            return OPEN, far, (Trouble.FAINT,)
        heavy, *_, light = sorted((ink.ink for ink in marked), reverse=True)
        if heavy > HEAVIER * light:
            return OPEN, far, (Trouble.TWO_ANSWERS, Trouble.CROSSED_OUT)
        bare = [ink for ink in row if ink not in marked]
        are_sure = _how_far(marked, bare, self.line, self.palest, self.usual) >= 0.5
        return (UNCLEAR if are_sure else OPEN), far, (Trouble.TWO_ANSWERS,)


def _how_far(marks: Sequence[Ink], others: Sequence[Ink], line: float, palest: float, usual: float) -> float:
    """How far the box that is nearest to its limits is from them: 0.5 on one, towards 1 the further it is. `palest` is
    the palest mark of their sheet, and `usual` how dark its middle one is."""
    beside = max((other.dark for other in others), default=0.0)
    above = [
        *((mark.ink, LEAST) if mark.ink >= LEAST else (PALER * mark.dark, beside) for mark in marks),
        *((mark.dark, max(DARK, ALIKE * usual)) for mark in marks),
        *((line, other.line) for other in others),
        *((PATCH, other.patch) for other in others),
        *((STAIN * palest, other.dark) for other in others),
        *((SHADE, other.shade) for other in others),
    ]
    return round(min(have / (have + max(0.0, limit)) if have > 0 else 0.0 for have, limit in above), 3)
