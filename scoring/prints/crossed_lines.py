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
    still, moved, digits = "", "", ""
    for column, animal in enumerate(official):
        there = placing.index(animal)
        line = f"M{_COLUMNS[column]} {_TOP}L{_COLUMNS[there]} {_BOTTOM}"
        if there == column:
            still += line
        else:
            moved += line
        digits += _digit(animal, _COLUMNS[column], _TOP - 5) + _digit(animal, _COLUMNS[there], _BOTTOM + 15)
    # A few long paths: each one takes a PDF as long as all that is in it.
    paths = "".join(f'<path d="{d}" stroke-width="{width}"/>' for d, width in ((still, 1.2), (moved, 3)) if d)
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}">'
        f'<g stroke="#191c19" fill="none" stroke-linejoin="round" stroke-linecap="round">'
        f'{paths}<path d="{digits}" stroke-width="1.3"/></g></svg>'
    )
    return f"data:image/svg+xml,{quote(drawn)}"


# The four digits as strokes, on a field of 8 by 12: from where each begins, seen from the lower left. Type set in a
# picture would depend on the machine that shows it.
_STROKES = {
    "1": (1.5, -9.5, "l3-2.5v12"),
    "2": (0.8, -9.2, "c0-1.8 1.4-2.8 3.2-2.8c2 0 3.3 1.3 3.3 3c0 2.5-6.3 6-6.6 9h6.9"),
    "3": (1, -12, "h6l-3.2 4.7c2.4 0 3.7 1.7 3.7 3.6c0 2.4-1.7 3.7-3.7 3.7c-1.5 0-2.7-.7-3.2-1.8"),
    "4": (5.6, 0, "v-12l-5 8.4h7.4"),
}


def _digit(animal: str, x: int, y: int) -> str:
    right, down, stroke = _STROKES[animal]
    return f"M{x - 4 + right:g} {y + down:g}{stroke}"
