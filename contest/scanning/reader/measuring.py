"""How much ink lies in each box, and how dark it is.

Light falls unevenly, paper is grey, pencils are pale, cups leave rings. So a box is compared with the paper around it,
above and below, and black is what the card's own squares look like on the same page. What a pen leaves is narrow: a
shade wider than `WIDE` is told apart from it, and is a stain where it goes on above and below the box. Dots are means
of nine before that, so that a pale line of a pencil stands out of the grain.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import product
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL.Image import fromarray
from PIL.ImageFilter import BoxBlur

from contest.scanning.reader import layout
from contest.scanning.reader.geometry import Matrix, moved
from contest.scanning.reader.layout import Box
from contest.scanning.reader.rings import ring_in
from contest.scanning.reader.straight import PAPER, straightened

if TYPE_CHECKING:
    from PIL.Image import Image

FINE = 6
"""Dots a millimetre: 152 an inch."""
SHADE, NOISE = 0.12, 0.05
"""Parts of the way from paper to black."""
WIDE = 7
"""Dots: what is wider is no line of a pen, as far as a second mark is concerned."""
LEAST_CONTRAST = 60
"""Grey levels between paper and black, of 255, below which nothing is measured."""
_BORDER = 0.85  # mm of the printed box and of what may be off, in which no ink is looked for
_EDGE = 0.5  # mm of a box that are its printed outline, and what is left of that by a lens
_RAMP = 1.6  # mm from there on in which ink that reaches in from outside counts less
_MARGIN = 2.0
_DARKEST = 12  # dots, a third of a square millimetre: what tells how dark a mark is
_PATCH = 36  # dots, a square millimetre
_WASHED_OUT = 0.05  # of the dots, so many entirely white; a scanner leaves the paper a grain
_SPECK = 50  # grey levels that a lone dot is darker than those around it
_WHITE = 247
_SHARP = 0.6  # parts of the way to black that a printed outline is in a sharp picture, once dots are means of nine
_OUTLINE = (0.35, 0.8)  # between these, whatever lies on it
_BLOCK = 15  # dots across that a JPEG smears it over

Grey = NDArray[np.float32]
Dots = NDArray[Any]


class Ink(NamedTuple):
    """What a box holds. All but `ink` are parts of the way from paper to black.

    `ink` is in mm² of black, without a shade over the whole box up to `SHADE` and the first `NOISE` of each dot. `dark`
    is how dark the darkest third of a square millimetre is, and `deep` the same where what is near the edges, where
    neighbours reach in, counts less. `line` is how dark the darkest stretch of a line is, which counts less there too,
    if the box's printed outline were as dark as it is in a sharp picture: blur takes as much of both. `patch` is how
    much darker than above and below the box its darkest square millimetre is, lines aside; `shade` how dark all of the
    box is. `white` is a box that a copier has made entirely white, and pale marks in it with it.
    """

    ink: float
    dark: float
    deep: float
    line: float
    patch: float
    shade: float
    white: bool = False


class Measured:
    """A straightened field, or the digits above it, with what is paper and black there.

    `marks` are its solid squares. It is `washed_out` where a copier has made all paper white, and pale marks with it;
    what specks such a copy has are taken off before pale lines are looked for.
    """

    def __init__(self, page: Image, matrix: Matrix, of: Box, marks: Sequence[tuple[float, float]]) -> None:
        part = (of.left - _MARGIN, of.top - _MARGIN, of.width + 2 * _MARGIN, of.height + 2 * _MARGIN)
        self._left, self._top = of.left, of.top
        seen = straightened(page, matrix, part, FINE)
        self._seen = np.asarray(seen, dtype=np.float32)
        greys = seen.histogram()
        self.paper = _level(greys, 0.8)
        self.black = float(min(np.median(self._part(Box(x + 1, y + 1, 2, 2))) for x, y in marks))
        self.washed_out = greys[PAPER] > _WASHED_OUT * self._seen.size
        without = _without_specks(page, matrix, part) if self.washed_out else None
        self._clean = straightened(*without, part, FINE) if without else seen
        self._look(seen, self._clean)

    def without_ring(self) -> bool:
        """Takes off what a cup has left, if there is such a ring: False if not, and then all is as it was."""
        ring = ring_in(self._seen, self.paper, self.black, FINE)
        if ring is None:
            return False
        self._seen = np.clip(self._seen / (1 - ring), 0, PAPER)
        clean = np.clip(np.asarray(self._clean, dtype=np.float32) / (1 - ring), 0, PAPER)
        self._look(*(fromarray(dots.astype(np.uint8)) for dots in (self._seen, clean)))
        return True

    def _look(self, seen: Image, clean: Image) -> None:
        blurred = seen.filter(BoxBlur(1))
        self._smooth = np.asarray(blurred, dtype=np.float32)
        smooth = np.asarray(blurred if clean is seen else clean.filter(BoxBlur(1)))
        wide = _closed(smooth, WIDE)
        self._wide: Grey = wide.astype(np.float32)
        lines = wide - smooth  # nowhere below nothing, as closing only makes lighter
        middle = _level(fromarray(lines).histogram(), 0.5)
        self._lines: Grey = (lines - np.float32(middle)) / np.float32(max(self.contrast, LEAST_CONTRAST / 2))

    @property
    def contrast(self) -> float:
        return self.paper - self.black

    def outlined(self, boxes: list[Box]) -> float:
        """How much of the boxes' printed outlines is where it should be, from 0 to 1: the median over them."""
        return float(np.median([self._outline(box) for box in boxes]))

    def ink_in(self, box: Box, gap: float) -> Ink:
        """The ink in a box, with so many millimetres of bare paper above and below it."""
        above = Box(box.left, box.top - gap + 0.25, box.width, gap - 0.5)
        below = Box(box.left, box.top + box.height + 0.25, box.width, gap - 0.5)
        inside = _inset(box)
        paper_above, paper_below = (_ranked(self._part(strip), 0.7) for strip in (above, below))
        smooth = self._part(inside, self._smooth)
        rows = np.linspace(0, 1, smooth.shape[0], dtype=np.float32)[:, None]
        paper = paper_above * (1 - rows) + paper_below * rows
        black = np.maximum(paper - self.black, LEAST_CONTRAST / 2)
        dark = np.clip((paper - smooth) / black, 0, 1)
        shade = _ranked(dark, 0.3)
        ink = np.clip(dark - min(SHADE, shade) - NOISE, 0, None).sum() / (1 - NOISE) / FINE**2
        lines = self._part(inside, self._lines)
        beyond = max(
            (paper_above - _least(self._part(above, self._wide), _DARKEST)) / black.min(),
            (paper_below - _least(self._part(below, self._wide), _DARKEST)) / black.min(),
        )
        patch = -_least((self._part(inside, self._wide) - paper) / black, _PATCH)
        outline = _ranked((paper.mean() - self._sides(box, self._smooth)) / black.mean(), 0.5)
        sharp = min(max(outline, _OUTLINE[0]), _OUTLINE[1])
        ramp = _ramp(*smooth.shape)
        return Ink(
            float(ink),
            -_least(-dark, _DARKEST),
            -_least(-dark * ramp, _DARKEST),
            _stretch(np.clip(lines, 0, 1) * ramp) * _SHARP / sharp,
            patch - max(0.0, float(beyond)),
            shade,
            self.washed_out and float(np.median(self._part(inside))) > _WHITE,
        )

    def up_to_the_edge(self, box: Box, gap: float) -> float:
        """The ink that a box holds, up to its printed outline, in mm² of black: in a bare one as much as in others that
        are, which is what reaches in of their outlines; a mark at the edge comes on top of it."""
        above, below = Box(box.left, box.top - gap + 0.25, box.width, gap - 0.5), box.top + box.height + 0.25
        strips = (self._part(above), self._part(above._replace(top=below)))
        paper = float(np.mean([np.percentile(strip, 70) for strip in strips]))
        inside = Box(box.left + _EDGE, box.top + _EDGE, box.width - 2 * _EDGE, box.height - 2 * _EDGE)
        dark = (paper - self._part(inside, self._smooth)) / max(paper - self.black, LEAST_CONTRAST / 2)
        return float(np.clip(dark - NOISE, 0, 1).sum() / FINE**2)

    def _outline(self, box: Box) -> float:
        return float(np.mean((self.paper - self._sides(box, self._seen)) / max(self.contrast, 1) > 0.3))

    def _sides(self, box: Box, of: Grey) -> Grey:
        """How dark the printed outline is above and below a box, dot by dot along it."""
        line = layout.LINE
        sides: Grey = np.array(
            [
                self._part(Box(box.left, box.top - line, box.width, 3 * line), of).min(axis=0),
                self._part(Box(box.left, box.top + box.height - 2 * line, box.width, 3 * line), of).min(axis=0),
            ]
        )
        return sides

    def _part(self, box: Box, of: Grey | None = None) -> Grey:
        top, left = round((box.top - self._top + _MARGIN) * FINE), round((box.left - self._left + _MARGIN) * FINE)
        rows, columns = max(1, round(box.height * FINE)), max(1, round(box.width * FINE))
        part: Grey = (self._seen if of is None else of)[top : top + rows, left : left + columns]
        return part


def _without_specks(
    page: Image, matrix: Matrix, part: tuple[float, float, float, float]
) -> tuple[Image, Matrix] | None:
    """What a part of a card is straightened from, without lone dots, and from where on; None where it has none."""
    left, top, width, height = part
    corners = moved(matrix, [(left, top), (left + width, top), (left + width, top + height), (left, top + height)])
    (x, y), (to_x, to_y) = np.floor(corners.min(axis=0)) - 2, np.ceil(corners.max(axis=0)) + 2
    area = (max(0, int(x)), max(0, int(y)), min(page.width, int(to_x)), min(page.height, int(to_y)))
    dots = np.asarray(page.crop(area))
    lone = _lone(dots)
    if not lone.any():
        return None
    near = _around(lone, _BLOCK, np.maximum)
    shift = np.array([[1.0, 0.0, -area[0]], [0.0, 1.0, -area[1]], [0.0, 0.0, 1.0]])
    return fromarray(np.where(near, np.uint8(PAPER), dots)), shift @ matrix


def _lone(dots: Dots) -> Dots:
    """Which dots are so much darker than all that is beside them, but for one."""
    rows, columns = dots.shape
    limit = np.minimum(dots, 255 - _SPECK) + np.uint8(_SPECK)
    padded = np.pad(dots, 1, mode="edge")
    as_dark = np.zeros(dots.shape, dtype=np.uint8)
    for down, across in product(range(3), repeat=2):
        as_dark += padded[down : down + rows, across : across + columns] <= limit
    return np.asarray(as_dark <= 2)  # itself and one more


def _closed(dots: Dots, size: int) -> Dots:
    """Without what is dark and narrower than so many dots: first the lightest of those around, then the darkest."""
    return _around(_around(dots, size, np.maximum), size, np.minimum)


def _around(dots: Dots, size: int, most: np.ufunc) -> Dots:
    """The most of so many dots about each, across and down: of two, of four and so on, the last overlapping."""
    for axis in (0, 1):
        padded = np.pad(dots, [(size // 2, size // 2) if at == axis else (0, 0) for at in (0, 1)], mode="edge")
        made, of = np.moveaxis(padded, axis, 0), 1
        while of < size:
            further = min(of, size - of)
            made = most(made[:-further], made[further:])
            of += further
        dots = np.moveaxis(made, 0, axis)
    return dots


def _least(dots: Dots, count: int) -> float:
    """The mean of so many least of them."""
    flat = dots.ravel()
    count = min(count, flat.size)
    return float(np.partition(flat, count - 1)[:count].sum()) / count


def _ranked(dots: Dots, share: float) -> float:
    """What so large a share of them is less than, as `np.percentile` tells it, which is slow for few."""
    flat = dots.ravel()
    below, beyond = divmod(share * (flat.size - 1), 1)
    at = int(below)
    upto = min(at + 1, flat.size - 1)
    ranked = np.partition(flat, (at, upto))
    return float(ranked[at]) * (1 - beyond) + float(ranked[upto]) * beyond


def _level(counts: Sequence[int], share: float) -> float:
    """The same of whole levels by how many there are of each."""
    upto = np.cumsum(counts)
    below, beyond = divmod(share * (int(upto[-1]) - 1), 1)
    at, after = np.searchsorted(upto, [below, below + (beyond > 0)], side="right")
    return float(at * (1 - beyond) + after * beyond)


_LONG = 8  # dots of a stretch


def _stretch(dots: Grey) -> float:
    """The largest mean of a stretch of dots: across, down, or slanting."""
    best = 0.0
    for down, across in ((0, 1), (1, 0), (1, 1), (1, -1)):
        sums, step = dots[:, ::across] if across else dots, 1
        while step < _LONG:
            rows, columns = down * step, abs(across) * step
            if sums.shape[0] <= rows or sums.shape[1] <= columns:
                break
            sums = sums[rows:, columns:] + sums[: sums.shape[0] - rows, : sums.shape[1] - columns]
            step *= 2
        best = max(best, float(sums.max()) / step)
    return best


def _inset(box: Box) -> Box:
    by = min(_BORDER, box.height / 5)
    return Box(box.left + by, box.top + by, box.width - 2 * by, box.height - 2 * by)


@cache
def _ramp(rows: int, columns: int) -> Grey:
    """From nearly 0 at the edges to 1 inside, over the ramp or a third of the box."""
    ramp: Grey = np.minimum(_slope(rows)[:, None], _slope(columns)[None, :])
    return ramp


def _slope(length: int) -> Grey:
    over = min(_RAMP * FINE, length / 3)
    at = np.arange(length) + 0.5
    slope: Grey = np.clip(np.minimum(at, length - at) / over, 0, 1)
    return slope
