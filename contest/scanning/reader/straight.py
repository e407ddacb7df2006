"""A part of a card as it looks from straight above."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import numpy as np

from contest.scanning.reader.geometry import Matrix

if TYPE_CHECKING:
    from PIL.Image import Image

PAPER = 255
MOST_BYTES = 40_000
_SHARPEST = 5.0
"""Dots a millimetre of the picture that people are shown: 127 an inch."""


def straightened(page: Image, matrix: Matrix, part: tuple[float, float, float, float], fine: float) -> Image:
    """A part of a card (left, top, width, height in mm) at so many dots a millimetre; white beyond the page."""
    from PIL.Image import Resampling, Transform

    left, top, width, height = part
    size = (round(width * fine), round(height * fine))
    # From dots of the part to millimetres of the card, and on to pixels of the page.
    to_card = np.array([[width / size[0], 0, left], [0, height / size[1], top], [0, 0, 1]])
    made = matrix @ to_card
    made = made / made[2, 2]
    return page.transform(
        size, Transform.PERSPECTIVE, tuple(made.ravel()[:8]), resample=Resampling.BILINEAR, fillcolor=PAPER
    )


def cut_out(page: Image, matrix: Matrix, part: tuple[float, float, float, float], sharp: float) -> bytes:
    """A part of a card as a JPEG of at most 40 kB, hardly finer than the page, which has `sharp` dots a millimetre."""
    fine, quality = min(_SHARPEST, max(2.0, sharp)), 70
    while True:
        buffer = io.BytesIO()
        straightened(page, matrix, part, fine).save(buffer, "JPEG", quality=quality)
        if buffer.tell() <= MOST_BYTES:
            return buffer.getvalue()
        fine, quality = fine * 0.85, max(40, quality - 10)
