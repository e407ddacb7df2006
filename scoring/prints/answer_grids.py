"""The grids of answer sheets as small pictures: circles to fill in, and boxes to write letters into.

A contest shows one picture of a part many times, so that a PDF holds it once. Lengths are in quarters of a millimetre.
"""

from __future__ import annotations

from functools import lru_cache
from urllib.parse import quote

from contest.scanning.reader.layout import LINE, MARK
from contest.scanning.reader.sheets import Form, answer_boxes, rows_of
from scoring.prints.crossed_lines import label

UNIT = 0.25
ROW, CIRCLE, STEP = 24, 8.5, 24
NUMBERS = 36
"""Room for a question's number, before its circles."""

HALF_A_PAGE, WHOLE_PAGE = (740, 380), (740, 900)
"""How wide and high a grid may be that two of fit on a page of either paper, and one that has a page to itself."""

LARGER, LARGE_PAGE = 1.5, (490, 432)
"""How much larger than others a grid in large print is, whose letters then are as high as those of 18 points, and how
wide and high it is before that."""

IN_A_ROW, BOX, BETWEEN = 20, 28, 46


AROUND = f"a{CIRCLE} {CIRCLE} 0 1 0 {2 * CIRCLE:g} 0a{CIRCLE} {CIRCLE} 0 1 0-{2 * CIRCLE:g} 0"


def fits_twice(count: int, options: str) -> bool:
    """Whether the circles of so many questions fit on half a page."""
    return _columns(count, HALF_A_PAGE[1] // ROW) * _width(options) <= HALF_A_PAGE[0]


@lru_cache(maxsize=20)
def circles(count: int, options: str) -> str:
    """A line of circles for each question, with its number; as many columns as it takes."""
    _width_there, height = HALF_A_PAGE if fits_twice(count, options) else WHOLE_PAGE
    return _circles(range(count), options, _columns(count, height // ROW))


@lru_cache(maxsize=20)
def large_circles(count: int, options: str) -> list[str]:
    """The same in large print, on as many pages as it takes."""
    width, height = LARGE_PAGE
    columns = max(1, width // _width(options))
    most = columns * (height // ROW)
    pages = (range(first, min(first + most, count)) for first in range(0, count, most))
    return [_circles(page, options, min(columns, _columns(len(page), height // ROW)), LARGER) for page in pages]


def _circles(questions: range, options: str, columns: int, larger: float = 1) -> str:
    lines = -(-len(questions) // columns)
    lettering, rings = "", ""
    for place, question in enumerate(questions):
        left, y = place // lines * _width(options), (place % lines + 0.5) * ROW
        lettering += _text(str(question + 1), left + NUMBERS - 20, y, anchored_right=True)
        for at, letter in enumerate(options):
            x = left + NUMBERS + at * STEP
            rings += f"M{x - CIRCLE:g} {y:g}{AROUND}"
            lettering += _text(letter, x, y)
    return _drawn(columns * _width(options), lines * ROW, rings, lettering, larger)


@lru_cache(maxsize=20)
def answer_field(form: Form, count: int, options: str) -> str:
    """All of a sheet's field that a machine reads but its codes: a box for each answer, the letter at the left of it,
    and the solid squares. In millimetres."""
    unit, line = form.letter / 12.5, LINE / 2
    squares = "".join(f"M{x:g} {y:g}h{MARK:g}v{MARK:g}h-{MARK:g}z" for x, y in form.field.marks)
    frames, lettering = "", ""
    of_questions = zip(rows_of(form, count, len(options)), answer_boxes(form, count, len(options)), strict=True)
    for question, ((left, middle, _pitch), row) in enumerate(of_questions, start=1):
        number_ends = left + form.number - 4 * unit
        lettering += _text(str(question), number_ends / unit, middle / unit, anchored_right=True)
        for letter, box in zip(options, row, strict=True):
            side = form.box - LINE
            frames += f"M{box.left + line:g} {box.top + line:g}h{side:g}v{side:g}h-{side:g}z"
            lettering += _text(letter, (box.left - 0.58 * form.letter) / unit, middle / unit)
    wide, high = form.field.width, form.field.height
    size = f'width="{wide:g}mm" height="{high:g}mm"'
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {wide:g} {high:g}">'
        f'<path d="{squares}"/><path d="{frames}" fill="none" stroke="#000" stroke-width="{LINE:g}"/>'
        f'<path d="{lettering}" transform="scale({unit:.4f})" fill="none" stroke="#191c19" stroke-linejoin="round" '
        'stroke-linecap="round"/></svg>'
    )
    return f"data:image/svg+xml,{quote(drawn)}"


@lru_cache(maxsize=20)
def boxes(count: int) -> str:
    """A box for each letter of a key, its number above it."""
    lettering, frames = "", ""
    for place in range(count):
        x, y = place % IN_A_ROW * (BOX + 7), place // IN_A_ROW * (BOX + BETWEEN - 20)
        lettering += _text(str(place + 1), x + BOX / 2, y + 9)
        frames += f"M{x} {y + 19}h{BOX}v{BOX}h-{BOX}z"
    rows = -(-count // IN_A_ROW)
    return _drawn(min(count, IN_A_ROW) * (BOX + 7), rows * (BOX + BETWEEN - 20), frames, lettering)


def _columns(count: int, lines: int) -> int:
    return -(-count // lines)


def _width(options: str) -> int:
    return NUMBERS + len(options) * STEP


def _text(text: str, x: float, y: float, anchored_right: bool = False) -> str:
    """Strokes 12 high, around a middle or up to it."""
    begins = x - 8 * len(text) + 4 if anchored_right else x - 4 * (len(text) - 1)
    return "".join(label(sign, begins + 8 * at, y + 5.5) for at, sign in enumerate(text))


def _drawn(width: float, height: float, lines: str, lettering: str, larger: float = 1) -> str:
    """The picture as a data URI, which says how large it is."""
    unit = UNIT * larger
    size = f'width="{width * unit:g}mm" height="{height * unit:g}mm"'
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="-1 -1 {width + 2:g} {height + 2:g}">'
        f'<g stroke="#191c19" fill="none" stroke-linejoin="round" stroke-linecap="round">'
        f'<path d="{lines}" stroke-width="1"/><path d="{lettering}" stroke-width="0.9"/></g></svg>'
    )
    return f"data:image/svg+xml,{quote(drawn)}"
