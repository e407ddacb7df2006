"""Where cards lie on a page: by their codes, wherever those point, and then by their solid squares."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from contest.scanning.reader import layout
from contest.scanning.reader.far_squares import far_guesses
from contest.scanning.reader.found import Trouble
from contest.scanning.reader.geometry import Matrix, Pair, affine, homography, moved, scale_at
from contest.scanning.reader.identity import Identity, claimed, identify, place_of
from contest.scanning.reader.layout import CARD, Field
from contest.scanning.reader.sheets import FIELDS, field_on
from contest.scanning.reader.straight import straightened

if TYPE_CHECKING:
    from PIL.Image import Image

CODE_CORNERS = ((0.0, 0.0), (layout.CODE, 0.0), (layout.CODE, layout.CODE), (0.0, layout.CODE))
NEAR = 0.49
"""Of the way from one code to the other: the middles between them as each tells it lie nearer to each other."""
_ABOUT_MARK = 4.4  # mm around a solid square that nothing else is printed in, and half a millimetre
_GUESSED = 2  # of a code's corners, as it has squares at the three others alone
_FINE = 4  # dots a millimetre where a square is looked for
_STANDS_OUT = 0.35  # parts of the way to black that a square is darker than all around it


class Code(NamedTuple):
    """A code on the page: whose it is or why it is refused, which of the two, its corners in pixels, and the field that
    it is of."""

    whose: Identity | Trouble
    place: int
    corners: tuple[tuple[float, float], ...]
    field: Field = CARD

    def pairs(self) -> list[Pair]:
        left, top = self.field.codes[self.place]
        return [((left + x, top + y), on_page, 1.0) for (x, y), on_page in zip(CODE_CORNERS, self.corners, strict=True)]


@dataclass
class Lying:
    """A card as it lies on the page: from its millimetres to pixels, and how well that is known.

    `squares` is how many of its solid squares were found where they belong, of how many; `off` how far in millimetres
    the worst of them lies from where the card should have it.
    """

    codes: list[Code]
    matrix: Matrix
    squares: int = 0
    of: int = 2
    off: float = 0.0

    @property
    def whose(self) -> Identity | Trouble:
        """Whose card it is; what could be read counts for more than what could not."""
        read = [code.whose for code in self.codes if isinstance(code.whose, Identity)]
        return read[0] if read else self.codes[0].whose

    @property
    def field(self) -> Field:
        return self.codes[0].field

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        wide, high = self.field.width, self.field.height
        return tuple((float(x), float(y)) for x, y in moved(self.matrix, [(0, 0), (wide, 0), (wide, high), (0, high)]))


def codes_on(page: Image, secret: bytes) -> list[Code]:
    """All square codes of ours on a page; those that look like one and cannot be read, too."""
    import zxingcpp

    seen = zxingcpp.read_barcodes(
        np.asarray(page),
        formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode),
        try_downscale=False,
        try_invert=False,
        return_errors=True,
    )
    codes = []
    for one in seen:
        at = one.position
        corners = tuple((p.x + 0.5, p.y + 0.5) for p in (at.top_left, at.top_right, at.bottom_right, at.bottom_left))
        if not one.valid:
            codes.append(Code(Trouble.CODE_DAMAGED, 0, corners))
            continue
        if (said := claimed(one.bytes)) is None:
            continue
        whose = identify(one.bytes, secret)
        found = whose if isinstance(whose, Identity) else whose.why
        codes.append(Code(found, place_of(one.bytes), corners, field_on(said)))
    return codes


def cards_on(page: Image, secret: bytes) -> list[Lying]:
    """The cards on a page, each once, in the order of reading down and across it."""
    read: list[Code] = []
    damaged: list[Code] = []
    for code in codes_on(page, secret):
        (damaged if code.whose == Trouble.CODE_DAMAGED else read).append(code)
    cards: list[Lying] = []
    for code in read:
        matrix = homography(code.pairs())
        if matrix is None:
            continue
        mate = next((card for card in cards if _same_card(card, code, matrix)), None)
        if mate is None:
            cards.append(Lying([code], matrix))
        else:
            mate.codes.append(code)
            joined = homography([pair for one in mate.codes for pair in one.pairs()])
            mate.matrix = mate.matrix if joined is None else joined
    for card in cards:
        _by_squares(page, card)
    cards += _damaged(page, damaged, cards)
    return sorted(cards, key=lambda card: (round(min(y for _x, y in card.corners) / 100), card.corners[0][0]))


def _same_card(card: Lying, code: Code, matrix: Matrix) -> bool:
    first = card.codes[0]
    if len(card.codes) > 1 or first.place == code.place or (first.whose, first.field) != (code.whose, code.field):
        return False
    (left, upper), (_left, lower) = code.field.codes
    middle = [(left + layout.CODE / 2, (upper + lower + layout.CODE) / 2)]
    apart = np.hypot(*(moved(matrix, middle) - moved(card.matrix, middle))[0])
    return bool(apart < NEAR * (lower - upper) * scale_at(card.matrix, middle[0]))


def _damaged(page: Image, codes: list[Code], cards: list[Lying]) -> list[Lying]:
    """Cards of which no code can be read. What could be either code of a card is the one whose squares are there."""
    alone: list[Lying] = []
    for code in codes:
        middle = (sum(x for x, _y in code.corners) / 4, sum(y for _x, y in code.corners) / 4)
        if any(_holds(card, middle) for card in [*cards, *alone]):
            continue
        tried = []
        for field, place in product(FIELDS, (0, 1)):
            as_place = code._replace(place=place, field=field)
            matrix = homography(as_place.pairs())
            if matrix is not None and _is_square(code):
                card = Lying([as_place], matrix)
                _by_squares(page, card)
                tried.append(card)
        best = max(tried, key=lambda card: card.squares, default=None)
        if best and best.squares:
            alone.append(best)
    return alone


def _is_square(code: Code) -> bool:
    """Whether the corners could be a code's at all; noise that looks like one has any shape."""
    corners = np.array(code.corners)
    sides = np.hypot(*(corners - np.roll(corners, 1, axis=0)).T)
    return bool(sides.min() > 20 and sides.max() < 1.6 * sides.min())


def _holds(card: Lying, point: tuple[float, float]) -> bool:
    x, y = moved(np.asarray(np.linalg.inv(card.matrix)), [point])[0]
    return bool(-8 < x < card.field.width + 8 and -8 < y < card.field.height + 8)


def _by_squares(page: Image, card: Lying) -> None:
    """Where the solid squares lie says more precisely, and further from the codes, where the card does."""
    marks = list(card.field.marks)
    if isinstance(card.whose, Identity) and card.whose.number is None:
        marks.append(card.field.spare_mark)
    card.of = len(marks)
    of_codes = [pair for code in card.codes for pair in code.pairs()]
    best: list[Pair] = []
    for guess in _guesses(page, card, of_codes):
        found = _squares(page, guess, marks, of_codes)
        best = max(best, found, key=len)
        if len(best) == len(marks):
            break
    card.squares = len(best)
    if not best:
        return
    better = homography([*of_codes, *best])
    if better is not None:
        card.matrix = better
    scale = scale_at(card.matrix, card.field.middle)
    pairs = [*of_codes, *best]
    away = moved(card.matrix, [pair[0] for pair in pairs]) - np.array([pair[1] for pair in pairs])
    card.off = float(np.hypot(*away.T).max() / scale)


def _guesses(page: Image, card: Lying, of_codes: list[Pair]) -> Iterator[Matrix]:
    """Where the card may lie by its codes alone, of which the fourth corner is but a guess of zxing's: by all corners,
    and by what is parallel in them, or in three of each. Of a sheet the squares are so far from its codes that this
    may be off by several of their sizes; then by what looks like them at a distance."""
    yield card.matrix
    yield affine(of_codes)
    yield affine([pair for code in card.codes for at, pair in enumerate(code.pairs()) if at != _GUESSED])
    if card.field is not CARD:
        yield from far_guesses(page, card.field.marks[:2], of_codes)


def _squares(page: Image, matrix: Matrix, marks: list[tuple[float, float]], of_codes: list[Pair]) -> list[Pair]:
    """The solid squares that are found about where a matrix has them, and again where they then say that they are."""
    found: list[Pair] = []
    for again in (False, True):
        found = []
        for left, top in marks:
            middle = (left + layout.MARK / 2, top + layout.MARK / 2)
            at = _square(page, matrix, middle, far=not again)
            if at is not None:
                found.append((middle, at, 2.0))
        better = homography([*of_codes, *found]) if found else None
        matrix = matrix if better is None else better
    return found


def _square(page: Image, matrix: Matrix, middle: tuple[float, float], far: bool) -> tuple[float, float] | None:
    """Where a solid square near a point of the card lies on the page; None where there is none."""
    reach = _ABOUT_MARK + (1.6 if far else 0.0)
    x, y = middle
    seen = np.asarray(straightened(page, matrix, (x - reach, y - reach, 2 * reach, 2 * reach), _FINE), dtype=np.float64)
    paper, ink = np.percentile(seen, 85), seen.min()
    if paper - ink < 50:
        return None
    dark = np.clip((paper - seen) / (paper - ink), 0, 1)
    side = round(layout.MARK * _FINE)
    sums = np.pad(dark.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    inside = sums[side:, side:] - sums[:-side, side:] - sums[side:, :-side] + sums[:-side, :-side]
    row, column = np.unravel_index(inside.argmax(), inside.shape)
    if inside[row, column] < 0.72 * side * side:
        return None
    # The middle of what is dark about it, with a little around: a square cut by the window would be off.
    around = 3
    top, left = max(0, row - around), max(0, column - around)
    about = dark[top : row + side + around, left : column + side + around]
    beside = (about.sum() - inside[row, column]) / (about.size - side * side)
    if about.sum() > 1.5 * side * side or inside[row, column] / side**2 - beside < _STANDS_OUT:
        return None  # larger than a square, or no square: something else that is dark
    window = np.clip(about - 0.3, 0, None)
    weight = window.sum()
    down, across = np.indices(window.shape)
    at = (
        x - reach + (left + float((across * window).sum() / weight) + 0.5) / _FINE,
        y - reach + (top + float((down * window).sum() / weight) + 0.5) / _FINE,
    )
    u, v = moved(matrix, [at])[0]
    return float(u), float(v)
