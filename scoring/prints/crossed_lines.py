"""A placing against the official one as a small picture: every pair of lines that crosses is a pair put wrong."""

from __future__ import annotations

from functools import lru_cache
from urllib.parse import quote

WIDTH, HEIGHT = 120, 62
_COLUMNS = (15, 45, 75, 105)
_TOP, _BOTTOM = 19, 43


@lru_cache(maxsize=600)
def crossing(official: str, placing: str) -> str:
    """The picture as a data URI: the official order above, the contestant's below, a line from each animal to itself.

    An animal that stands where the officials have it has a thin line, one that moved a thick one. A contest shows few
    different pictures many times, so each is made once, and a browser or a PDF holds it once.
    """
    lines, digits = [], []
    for column, animal in enumerate(official):
        there = placing.index(animal)
        width = 1.2 if there == column else 3
        lines.append(
            f'<line x1="{_COLUMNS[column]}" y1="{_TOP}" x2="{_COLUMNS[there]}" y2="{_BOTTOM}" stroke-width="{width}"/>'
        )
        digits.append(_digit(animal, _COLUMNS[column], _TOP - 5) + _digit(animal, _COLUMNS[there], _BOTTOM + 15))
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}">'
        f'<g stroke="#191c19" stroke-linecap="round">{"".join(lines)}</g>{"".join(digits)}</svg>'
    )
    return f"data:image/svg+xml,{quote(drawn)}"


# The four digits as strokes, on a field of 8 by 12 from the lower left: type set in a picture would depend on the
# machine that shows it.
_STROKES = {
    "1": "M1.5-9.5 L4.5-12 V0",
    "2": "M.8-9.2 C.8-11 2.2-12 4-12 C6-12 7.3-10.7 7.3-9 C7.3-6.5 1-3 .7 0 H7.6",
    "3": "M1-12 H7 L3.8-7.3 C6.2-7.3 7.5-5.6 7.5-3.7 C7.5-1.3 5.8 0 3.8 0 C2.3 0 1.1-.7.6-1.8",
    "4": "M5.6 0 V-12 L.6-3.6 H8",
}


def _digit(animal: str, x: int, y: int) -> str:
    return (
        f'<path d="{_STROKES[animal]}" transform="translate({x - 4} {y})" fill="none" stroke="#191c19" '
        f'stroke-width="1.3" stroke-linejoin="round" stroke-linecap="round"/>'
    )
