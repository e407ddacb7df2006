"""The square code of a card as dark and light, drawn by whoever draws the card."""

from __future__ import annotations

from contest.scanning.reader.layout import MODULES

MASK = 2


def rows_of(code: bytes) -> list[str]:
    """The rows of a code, `1` for each dark square. Of the bytes that `identity.written` makes.

    The mask is always the same: looking for the one that a reader likes best takes five times as long, and readers read
    them all.
    """
    import segno

    made = segno.make(code, version=1, error="m", mode="byte", micro=False, boost_error=False, mask=MASK)
    rows = ["".join("1" if dark else "0" for dark in row) for row in made.matrix]
    assert len(rows) == MODULES
    return rows


def bars_of(code: bytes) -> list[tuple[int, int, int]]:
    """The dark squares of a code as bars: (column, row, how many side by side)."""
    bars = []
    for at, row in enumerate(rows_of(code)):
        column = 0
        for dark in row.split("0"):
            if dark:
                bars.append((column, at, len(dark)))
            column += len(dark) + 1
    return bars
