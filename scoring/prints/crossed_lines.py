"""A placing against the official one as a small picture: every pair of lines that crosses is a pair put wrong."""

from __future__ import annotations

from functools import lru_cache
from urllib.parse import quote

WIDTH, HEIGHT = 120, 62
_TOP, _BOTTOM = 19, 43


@lru_cache(maxsize=600)
def crossing(official: str, placing: str) -> str:
    """The picture as a data URI: the official order above, the contestant's below, a line from each animal to itself.

    An animal that stands where the officials have it has a thin line, one that moved a thick one. A contest shows few
    different pictures many times, so each is made once, and a browser or a PDF holds it once.
    """
    still, moved, digits = "", "", ""
    apart = WIDTH / len(official)
    columns = [apart * (column + 0.5) for column in range(len(official))]
    for column, animal in enumerate(official):
        there = placing.index(animal)
        line = f"M{columns[column]:g} {_TOP}L{columns[there]:g} {_BOTTOM}"
        if there == column:
            still += line
        else:
            moved += line
        digits += label(animal, columns[column], _TOP - 5) + label(animal, columns[there], _BOTTOM + 15)
    # A few long paths: each one takes a PDF as long as all that is in it.
    paths = "".join(f'<path d="{d}" stroke-width="{width}"/>' for d, width in ((still, 1.2), (moved, 3)) if d)
    drawn = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}">'
        f'<g stroke="#191c19" fill="none" stroke-linejoin="round" stroke-linecap="round">'
        f'{paths}<path d="{digits}" stroke-width="1.3"/></g></svg>'
    )
    return f"data:image/svg+xml,{quote(drawn)}"


# Digits and capital letters as strokes, on a field of 8 by 12: from where each begins, seen from the lower left. Type
# set in a picture would depend on the machine that shows it.
_STROKES = {
    "1": (1.5, -9.5, "l3-2.5v12"),
    "2": (0.8, -9.2, "c0-1.8 1.4-2.8 3.2-2.8c2 0 3.3 1.3 3.3 3c0 2.5-6.3 6-6.6 9h6.9"),
    "3": (1, -12, "h6l-3.2 4.7c2.4 0 3.7 1.7 3.7 3.6c0 2.4-1.7 3.7-3.7 3.7c-1.5 0-2.7-.7-3.2-1.8"),
    "4": (5.6, 0, "v-12l-5 8.4h7.4"),
    "5": (6.8, -12, "h-5l-.6 5c.8-.6 1.7-.9 2.7-.9c2 0 3.3 1.5 3.3 3.7c0 2.5-1.5 4.2-3.6 4.2c-1.4 0-2.4-.6-3-1.7"),
    "6": (6.2, -12, "c-3 1-5.3 4.4-5.3 8.2c0 2.3 1.3 3.8 3.2 3.8s3.2-1.5 3.2-3.6s-1.3-3.5-3.1-3.5c-1.6 0-3 1.2-3.3 3"),
    "7": (0.8, -12, "h6.4l-4 12"),
    "8": (
        4,
        -6.5,
        "c-1.7-.6-2.6-1.5-2.6-2.8c0-1.6 1.1-2.7 2.6-2.7s2.6 1.1 2.6 2.7c0 1.3-.9 2.2-2.6 2.8c-2 .7-3.1 1.7-3.1 3.4"
        "s1.3 3.1 3.1 3.1s3.1-1.3 3.1-3.1s-1.1-2.7-3.1-3.4",
    ),
    "9": (1.8, 0, "c3-1 5.3-4.4 5.3-8.2c0-2.3-1.3-3.8-3.2-3.8s-3.2 1.5-3.2 3.6s1.3 3.5 3.1 3.5c1.6 0 3-1.2 3.3-3"),
    "0": (4, -12, "c-2 0-3.3 2-3.3 6s1.3 6 3.3 6s3.3-2 3.3-6s-1.3-6-3.3-6"),
    "A": (0.4, 0, "l3.6-12l3.6 12m-1.2-4h-4.8"),
    "B": (1, 0, "v-12h3c1.8 0 2.8 1.1 2.8 2.8s-1 2.9-2.8 2.9h-3h3.3c2 0 3.1 1.2 3.1 3.1s-1.1 3.2-3.1 3.2z"),
    "C": (7, -9.6, "c-.6-1.5-1.6-2.4-3-2.4c-2.1 0-3.3 2.2-3.3 6s1.2 6 3.3 6c1.4 0 2.4-.9 3-2.4"),
    "D": (1, 0, "v-12h2.4c2.5 0 4 2.2 4 6s-1.5 6-4 6z"),
    "E": (6.8, -12, "h-5.6v12h5.6m-.8-6h-4.8"),
    "F": (6.8, -12, "h-5.6v12m0-6h4.8"),
    "G": (6.9, -9.6, "c-.6-1.5-1.6-2.4-3-2.4c-2.1 0-3.3 2.2-3.3 6s1.2 6 3.3 6c1.8 0 3.1-1.3 3.1-3.2v-2.3h-2.7"),
    "H": (1, 0, "v-12m6 12v-12m-6 6h6"),
    "I": (2, -12, "h4m-2 0v12m-2 0h4"),
    "J": (6.4, -12, "v8.4c0 2.2-1 3.6-2.8 3.6s-2.8-1.2-2.8-3"),
    "K": (1, 0, "v-12m6 0l-6 7.2m2.2-2.6l4 7.4"),
    "L": (1.2, -12, "v12h5.8"),
    "M": (0.6, 0, "v-12l3.4 7l3.4-7v12"),
    "N": (1, 0, "v-12l6 12v-12"),
    "O": (4, -12, "c-2.2 0-3.6 2.2-3.6 6s1.4 6 3.6 6s3.6-2.2 3.6-6s-1.4-6-3.6-6"),
    "P": (1, 0, "v-12h3.2c1.9 0 3.1 1.3 3.1 3.3s-1.2 3.4-3.1 3.4h-3.2"),
    "Q": (4, -12, "c-2.2 0-3.6 2.2-3.6 6s1.4 6 3.6 6s3.6-2.2 3.6-6s-1.4-6-3.6-6m1 8.6l2.8 3.8"),
    "R": (1, 0, "v-12h3.2c1.9 0 3.1 1.3 3.1 3.3s-1.2 3.4-3.1 3.4h-3.2m2.9 0l3.5 5.3"),
    "S": (
        6.7,
        -10,
        "c-.5-1.3-1.5-2-2.8-2c-1.7 0-2.9 1.2-2.9 2.9c0 4.1 6.1 2 6.1 6c0 1.8-1.3 3.1-3.2 3.1c-1.5 0-2.7-.8-3.3-2.3",
    ),
    "T": (0.6, -12, "h6.8m-3.4 0v12"),
    "U": (1, -12, "v8.2c0 2.4 1.1 3.8 3 3.8s3-1.4 3-3.8v-8.2"),
    "V": (0.5, -12, "l3.5 12l3.5-12"),
    "W": (0.2, -12, "l1.9 12l1.9-8l1.9 8l1.9-12"),
    "X": (0.8, -12, "l6.4 12m0-12l-6.4 12"),
    "Y": (0.6, -12, "l3.4 6.3l3.4-6.3m-3.4 6.3v5.7"),
    "Z": (0.8, -12, "h6.4l-6.4 12h6.4"),
}


def label(animal: str, x: float, y: float) -> str:
    """A digit or capital letter whose middle stands at x, on a line at y."""
    right, down, stroke = _STROKES[animal]
    return f"M{x - 4 + right:g} {y + down:g}{stroke}"
