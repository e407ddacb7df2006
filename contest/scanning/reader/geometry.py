"""From millimetres of a card to pixels of a page, as a camera sees a flat card: a homography, 3 x 3."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Matrix = NDArray[np.float64]
Pair = tuple[tuple[float, float], tuple[float, float], float]
"""A point on the card, where it lies on the page, and its weight."""


def homography(pairs: Sequence[Pair]) -> Matrix | None:
    """The one that brings each first point nearest to its second, by least squares; None where they do not say one,
    as points on one line."""
    card = np.array([pair[0] for pair in pairs])
    page = np.array([pair[1] for pair in pairs])
    to_card, to_page = _centred(card), _centred(page)
    x, y = _moved(to_card, card).T
    u, v = _moved(to_page, page).T
    weight = np.repeat([pair[2] for pair in pairs], 2)[:, None]
    zero, one = np.zeros_like(x), np.ones_like(x)
    rows = np.stack(
        [
            np.stack([x, y, one, zero, zero, zero, -u * x, -u * y, -u], axis=1),
            np.stack([zero, zero, zero, x, y, one, -v * x, -v * y, -v], axis=1),
        ],
        axis=1,
    ).reshape(-1, 9)
    try:
        _left, sizes, right = np.linalg.svd(rows * weight)
    except np.linalg.LinAlgError:
        return None
    if sizes[7] < 1e-9 * sizes[0]:
        return None
    found: Matrix = np.linalg.inv(to_page) @ right[8].reshape(3, 3) @ to_card
    return found / found[2, 2] if abs(found[2, 2]) > 1e-12 else None


def affine(pairs: Sequence[Pair]) -> Matrix:
    """The nearest that keeps what is parallel so: less true than a homography, and less led astray by a wrong point."""
    card = np.column_stack([[pair[0] for pair in pairs], np.ones(len(pairs))])
    found, *_ = np.linalg.lstsq(card, np.array([pair[1] for pair in pairs]), rcond=None)
    return np.vstack([found.T, [0.0, 0.0, 1.0]])


def moved(matrix: Matrix, points: Any) -> NDArray[np.float64]:
    """Points of the card, each a row, as they lie on the page."""
    return _moved(matrix, np.asarray(points, dtype=np.float64))


def scale_at(matrix: Matrix, point: tuple[float, float]) -> float:
    """Pixels a millimetre about a point of the card."""
    x, y = point
    here, right, down = moved(matrix, [(x, y), (x + 1, y), (x, y + 1)])
    across, along = right - here, down - here
    return float(abs(across[0] * along[1] - across[1] * along[0]) ** 0.5)


def _centred(points: NDArray[np.float64]) -> Matrix:
    """Moves points about the origin and to size 1: without it the sums lose their last digits."""
    middle = points.mean(axis=0)
    size = np.abs(points - middle).mean() or 1.0
    return np.array([[1 / size, 0, -middle[0] / size], [0, 1 / size, -middle[1] / size], [0, 0, 1]])


def _moved(matrix: Matrix, points: NDArray[np.float64]) -> NDArray[np.float64]:
    made = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    moved_to: NDArray[np.float64] = made[:, :2] / made[:, 2:]
    return moved_to
