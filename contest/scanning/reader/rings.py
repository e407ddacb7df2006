"""What a cup leaves on a card: a ring, which is pale, soft and runs on far beyond any box.

It is looked for as a part of a circle of a cup's size that is darker all along than the paper on both of its sides.
How dark it is is told by the middle of all that lies on it, so that it is taken off, and a mark that it crosses is not.
"""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

Grey = NDArray[np.float32]
Dots = NDArray[Any]

SIZES = (24.0, 46.0)
"""Millimetres from the middle of a cup to its rim, from an espresso's to a mug's."""
PALE, DARK = 0.03, 0.5
"""Parts of the way from paper to black that a ring is: paler is not seen, darker is ink."""
LONG = 24.0
"""Millimetres of a ring that have to be seen on bare paper."""
THROUGHOUT = 0.7
"""So much of what is seen of it is darker than the paper by half as much as the middle of it."""
_COARSE = 3  # dots of which one is made to look for rings
_ASIDE = 3.6  # mm from a ring's middle where nothing of it is left
_TURNS = np.linspace(0, 2 * np.pi, 240, endpoint=False)
_STEP = 0.25  # mm
_FEWEST = 5  # pieces of which a middle can be told


def ring_in(seen: Grey, paper: float, black: float, fine: int) -> Grey | None:
    """How much of its light a ring takes from each dot of a part of a card, from 0 to 1; None where there is no ring.
    `fine` is dots a millimetre, `paper` and `black` are grey levels."""
    dark, bare = _on_paper(seen, paper, black)
    scale = fine / _COARSE
    likely = _likely(dark, bare, scale)
    if likely is None:
        return None
    return _taken(dark, bare, _nearer(dark, bare, likely, scale), seen.shape, scale, fine)


def _on_paper(seen: Grey, paper: float, black: float) -> tuple[Grey, Dots]:
    """How dark each piece of the paper is, and whether it is bare of ink."""
    dark = np.clip((paper - seen) / max(paper - black, 1), -1, 1)
    rows, columns = (length // _COARSE * _COARSE for length in dark.shape)
    pieces = dark[:rows, :columns].reshape(rows // _COARSE, _COARSE, columns // _COARSE, _COARSE)
    ink = pieces.max(axis=(1, 3)) > DARK
    near = ink.copy()
    near[1:] |= ink[:-1]
    near[:-1] |= ink[1:]
    near[:, 1:] |= near[:, :-1].copy()
    near[:, :-1] |= near[:, 1:].copy()
    return pieces.mean(axis=(1, 3)), ~near


def _likely(dark: Grey, bare: Dots, scale: float) -> tuple[float, float, float] | None:
    """The circle on which most pieces lie that are darker than those around them: each speaks for all circles that it
    could be on, and what is said most often is true (a Hough transform)."""
    pieces = np.argwhere(bare & (_beside(dark, bare, round(_ASIDE * scale)) > PALE))
    if len(pieces) < LONG:
        return None
    x, y = (pieces[:, 1] + 0.5) / scale, (pieces[:, 0] + 0.5) / scale
    across, down = round(dark.shape[1] / scale), round(dark.shape[0] / scale)
    aside = int(SIZES[1])
    best, found = 0, None
    for size in np.arange(*SIZES, 1.0):
        columns = np.rint(x[:, None] + size * np.cos(_TURNS)).astype(int) + aside
        rows = np.rint(y[:, None] + size * np.sin(_TURNS)).astype(int) + aside
        shape = (down + 2 * aside + 1, across + 2 * aside + 1)
        there = (rows >= 0) & (columns >= 0) & (rows < shape[0]) & (columns < shape[1])
        each = np.bincount((rows * shape[1] + columns)[there], minlength=shape[0] * shape[1]).reshape(shape)
        votes: Dots = each[1:, 1:] + each[:-1, 1:] + each[1:, :-1] + each[:-1, :-1]
        if votes.max() > best:
            best = int(votes.max())
            row, column = np.unravel_index(votes.argmax(), votes.shape)
            found = (float(column) + 0.5 - aside, float(row) + 0.5 - aside, float(size))
    return found


def _beside(dark: Grey, bare: Dots, away: int) -> Grey:
    """How much darker each piece is than what is so far away on either side of it, on one axis of four."""
    most = np.full(dark.shape, -1, dtype=np.float32)
    grid: Dots = np.indices(dark.shape)
    aslant = round(away * 0.7)
    for down, across in ((0, away), (away, 0), (aslant, aslant), (aslant, -aslant)):
        sides = []
        for to in (-1, 1):
            row: Dots = grid[0] + to * down
            column: Dots = grid[1] + to * across
            sides.append(np.where(_of(bare, row, column, False), _of(dark, row, column, 1), 1))
        most = np.maximum(most, dark - np.maximum(*sides))
    return most


def _along(of: Dots, x: Dots, y: Dots, outside: Any) -> Dots:
    """The pieces that points lie in, in pieces from the upper left."""
    return _of(of, np.floor(y).astype(int), np.floor(x).astype(int), outside)


def _of(of: Dots, row: Dots, column: Dots, outside: Any) -> Dots:
    there = (row >= 0) & (column >= 0) & (row < of.shape[0]) & (column < of.shape[1])
    inside = of[row.clip(0, of.shape[0] - 1), column.clip(0, of.shape[1] - 1)]
    return np.asarray(np.where(there, inside, outside))


def _score(dark: Grey, bare: Dots, x: float, y: float, size: float, scale: float) -> float:
    """How much darker a circle is than its sides, where it and one of them are bare."""
    values = []
    for aside in (0.0, -_ASIDE, _ASIDE):
        columns, rows = (x + (size + aside) * np.cos(_TURNS)) * scale, (y + (size + aside) * np.sin(_TURNS)) * scale
        values.append(np.where(_along(bare, columns, rows, False), _along(dark, columns, rows, 0.0), np.nan))
    more = values[0] - np.fmax(values[1], values[2])
    more = more[~np.isnan(more)]
    return float(more.clip(-0.1, 0.2).sum() / np.sqrt(max(len(more), 1)))


def _nearer(dark: Grey, bare: Dots, found: tuple[float, float, float], scale: float) -> tuple[float, float, float]:
    """The best circle near one that was found, in smaller and smaller steps."""
    best = _score(dark, bare, *found, scale)
    for step in (1.0, 1.0, 0.5, 0.25):
        around = found
        for by in product((-step, 0.0, step), repeat=3):
            tried = (around[0] + by[0], around[1] + by[1], around[2] + by[2])
            score = _score(dark, bare, *tried, scale)
            if score > best:
                best, found = score, tried
    return found


def _taken(
    dark: Grey, bare: Dots, found: tuple[float, float, float], shape: tuple[int, ...], scale: float, fine: int
) -> Grey | None:
    """What a ring takes of the light, by how far a dot is from its middle: the median of all that is so far from it."""
    steps = np.arange(-_ASIDE, _ASIDE + _STEP, _STEP)
    for _again in range(4):
        away, _turns = _from_ring(dark.shape, found, scale)
        by_step = [dark[bare & (abs(away - step) < _STEP / 2)] for step in steps]
        if min(len(of) for of in by_step) < _FEWEST:
            return None
        middles = np.array([np.median(of) for of in by_step])
        profile = np.clip(middles - np.interp(steps, steps[[0, -1]], middles[[0, -1]]), 0, None)
        found = _moved(dark - (middles[0] + middles[-1]) / 2, bare, found, scale, steps, profile)
    peak = float(profile.max())
    on_it = by_step[int(profile.argmax())] - (middles[0] + middles[-1]) / 2
    if not PALE < peak < DARK or (on_it > peak / 2).mean() < THROUGHOUT:
        return None
    ring: Grey = np.interp(_from_ring(shape, found, fine)[0], steps, profile, left=0, right=0).astype(np.float32)
    return ring


def _from_ring(shape: tuple[int, ...], found: tuple[float, float, float], scale: float) -> tuple[Dots, Dots]:
    """How far each dot is from a ring's middle line, in mm, more outside it; and in which direction."""
    x, y, size = found
    rows, columns = np.indices(shape)
    across, down = (columns + 0.5) / scale - x, (rows + 0.5) / scale - y
    return np.hypot(across, down) - size, np.arctan2(down, across)


def _moved(
    more: Grey, bare: Dots, found: tuple[float, float, float], scale: float, steps: Dots, profile: Dots
) -> tuple[float, float, float]:
    """The ring where it fits better what is seen of it (a step of Gauss and Newton)."""
    away, turns = _from_ring(more.shape, found, scale)
    beside = more - np.interp(away, steps, profile)
    use = bare & (abs(away) < _ASIDE) & (abs(beside) < 0.15)
    slope = np.interp(away[use], steps, np.gradient(profile, _STEP))
    by = -slope[:, None] * np.stack([np.cos(turns[use]), np.sin(turns[use]), np.ones(slope.shape)], axis=1)
    x, y, size = np.array(found) + np.linalg.lstsq(by, beside[use], rcond=None)[0].clip(-0.5, 0.5)
    return float(x), float(y), float(size)
