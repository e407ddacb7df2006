"""How much ink lies in each box, in mm² of black.

Light falls unevenly, paper is grey, pencils are pale. So a box is compared with the paper around it, above and below,
and black is what the card's own squares look like on the same page. A shade over all of the box is taken off up to
`SHADE` (a shadow, a smudge, what an eraser leaves), and of each dot `NOISE` (grain, JPEG). What remains is summed. The
dots are means of nine before that, so that a pale line of a pencil stands out of the grain.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL.ImageFilter import BoxBlur

from contest.scanning.reader import layout
from contest.scanning.reader.geometry import Matrix
from contest.scanning.reader.layout import Box
from contest.scanning.reader.straight import straightened

if TYPE_CHECKING:
    from PIL.Image import Image

FINE = 6
"""Dots a millimetre: 152 an inch."""
SHADE, NOISE = 0.12, 0.05
"""Parts of the way from paper to black."""
LEAST_CONTRAST = 60
"""Grey levels between paper and black, of 255, below which nothing is measured."""
_BORDER = 0.85  # mm of the printed box and of what may be off, in which no ink is looked for
_RAMP = 1.6  # mm from there on in which ink that reaches in from outside counts less
_MARGIN = 2.0

Grey = NDArray[np.float64]


class Ink(NamedTuple):
    """In a box: all `ink`, and what of it lies well `inside`, where what reaches over from a neighbour hardly comes."""

    ink: float
    inside: float


class Measured:
    """A straightened field, or the digits above it, with what is paper and black there.

    `marks` are its solid squares.
    """

    def __init__(
        self, page: Image, matrix: Matrix, top: float, height: float, marks: Sequence[tuple[float, float]]
    ) -> None:
        part = (-_MARGIN, top - _MARGIN, layout.WIDTH + 2 * _MARGIN, height + 2 * _MARGIN)
        self._top = top
        seen = straightened(page, matrix, part, FINE)
        self._seen = np.asarray(seen, dtype=np.float64)
        self._smooth = np.asarray(seen.filter(BoxBlur(1)), dtype=np.float64)
        self.paper = float(np.percentile(self._seen, 80))
        self.black = float(min(np.median(self._part(Box(x + 1, y + 1, 2, 2))) for x, y in marks))

    @property
    def contrast(self) -> float:
        return self.paper - self.black

    def outlined(self, boxes: list[Box]) -> float:
        """How much of the boxes' printed outlines is where it should be, from 0 to 1: the median over them."""
        return float(np.median([self._outline(box) for box in boxes]))

    def ink_in(self, box: Box, gap: float) -> Ink:
        """The ink in a box, with so many millimetres of bare paper above and below it."""
        above = self._part(Box(box.left, box.top - gap + 0.25, box.width, gap - 0.5))
        below = self._part(Box(box.left, box.top + box.height + 0.25, box.width, gap - 0.5))
        inside = self._part(_inset(box), self._smooth)
        rows = np.linspace(0, 1, inside.shape[0])[:, None]
        paper = np.percentile(above, 70) * (1 - rows) + np.percentile(below, 70) * rows
        dark = np.clip((paper - inside) / np.maximum(paper - self.black, LEAST_CONTRAST / 2), 0, 1)
        shade = min(SHADE, float(np.percentile(dark, 30)))
        ink = np.clip(dark - shade - NOISE, 0, None) / (1 - NOISE) / FINE**2
        return Ink(float(ink.sum()), float((ink * _ramp(*ink.shape) ** 2).sum()))

    def _outline(self, box: Box) -> float:
        line = layout.LINE
        sides = (
            self._part(Box(box.left, box.top - line, box.width, 3 * line)).min(axis=0),
            self._part(Box(box.left, box.top + box.height - 2 * line, box.width, 3 * line)).min(axis=0),
        )
        return float(np.mean([(self.paper - side) / max(self.contrast, 1) > 0.3 for side in sides]))

    def _part(self, box: Box, of: Grey | None = None) -> Grey:
        top, left = round((box.top - self._top + _MARGIN) * FINE), round((box.left + _MARGIN) * FINE)
        rows, columns = max(1, round(box.height * FINE)), max(1, round(box.width * FINE))
        part: Grey = (self._seen if of is None else of)[top : top + rows, left : left + columns]
        return part


def _inset(box: Box) -> Box:
    by = min(_BORDER, box.height / 5)
    return Box(box.left + by, box.top + by, box.width - 2 * by, box.height - 2 * by)


def _ramp(rows: int, columns: int) -> Grey:
    """From nearly 0 at the edges to 1 inside, over the ramp or a third of the box."""
    ramp: Grey = np.minimum(_slope(rows)[:, None], _slope(columns)[None, :])
    return ramp


def _slope(length: int) -> Grey:
    over = min(_RAMP * FINE, length / 3)
    at = np.arange(length) + 0.5
    slope: Grey = np.clip(np.minimum(at, length - at) / over, 0, 1)
    return slope
