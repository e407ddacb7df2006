"""Where an answer sheet may lie by its solid squares, which a phone shows far from where its codes have them.

A code is 13 mm wide and the squares are 177 mm away: a dot that a corner of it is off, and whatever is seen from aside,
moves them by more than their size. So all that looks like one is taken from a wide part of the sheet, a box that was
filled in black among it; which of it are the squares is told by how well they and the codes lie on one flat sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from contest.scanning.reader import layout
from contest.scanning.reader.geometry import Matrix, Pair, affine, homography, moved, scale_at
from contest.scanning.reader.straight import straightened

if TYPE_CHECKING:
    from PIL.Image import Image

_REACH = 24.0  # mm on each side of where a square should be
_FINE = 2  # dots a millimetre
_AROUND = 2  # dots of paper around a square
_ALIKE = 0.5  # of the light around it what looks like a square takes so much
_MOST = 5
_FLAT = 1.5  # mm
"""A code's corner lies so far from where a sheet has it at most, for squares to be those of the sheet."""


def far_guesses(page: Image, marks: Sequence[tuple[float, float]], of_codes: list[Pair]) -> Iterator[Matrix]:
    """Where a sheet may lie, the likeliest first, by two of its `marks` (their upper left corners on it) and by the
    corners of its codes."""
    by_codes = affine(of_codes)
    middles = [(left + layout.MARK / 2, top + layout.MARK / 2) for left, top in marks]
    seen = [[(middle, at, 2.0) for at in _like_squares(page, by_codes, middle)] for middle in middles]
    tried: list[tuple[float, int, Matrix]] = []
    for pairs in product(*seen):
        matrix = homography([*of_codes, *pairs])
        if matrix is not None:
            away = moved(matrix, [pair[0] for pair in of_codes]) - np.array([pair[1] for pair in of_codes])
            off = float(np.hypot(*away.T).max() / scale_at(matrix, of_codes[0][0]))
            tried.append((off, len(tried), matrix))
    for off, _order, matrix in sorted(tried)[:_MOST]:
        if off < _FLAT:
            yield matrix


def _like_squares(page: Image, matrix: Matrix, middle: tuple[float, float]) -> list[tuple[float, float]]:
    """Where on the page something about a point of the sheet looks like a solid square, the likeliest first."""
    x, y = middle
    part = (x - _REACH, y - _REACH, 2 * _REACH, 2 * _REACH)
    seen = np.asarray(straightened(page, matrix, part, _FINE), dtype=np.float64)
    side = round(layout.MARK * _FINE)
    outer = side + 2 * _AROUND
    sums = np.pad(seen.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    inside = _sums(sums, side)[_AROUND:-_AROUND, _AROUND:-_AROUND]
    around = (_sums(sums, outer) - inside) / (outer**2 - side**2)
    like = 1 - inside / side**2 / np.maximum(around, 1)
    found: list[tuple[float, float]] = []
    while len(found) < _MOST and like.max() > _ALIKE:
        row, column = (int(at) for at in np.unravel_index(like.argmax(), like.shape))
        found.append((x - _REACH + (column + outer / 2) / _FINE, y - _REACH + (row + outer / 2) / _FINE))
        like[max(0, row - side) : row + side, max(0, column - side) : column + side] = 0
    return [(float(u), float(v)) for u, v in moved(matrix, found)] if found else []


def _sums(sums: Matrix, side: int) -> Matrix:
    """The sum over each square of so many dots, by its upper left one."""
    over: Matrix = sums[side:, side:] - sums[:-side, side:] - sums[side:, :-side] + sums[:-side, :-side]
    return over
