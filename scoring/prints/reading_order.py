"""Lines with Arabic and Hebrew in the order in which they are read, so that they can be copied out of a PDF.

WeasyPrint writes the glyphs of a line from left to right. Readers of PDFs that take text as it comes then have such
names backwards; others put it in order by where it stands, and turn round what is read from the right. So each glyph of
such a line is written by itself, where it stands, in the order of the text: that suits both. One glyph may be several
letters, as lam and alef are; then it counts as the last of them, and the others stand unseen beside it.
"""

from __future__ import annotations

import io
import re
from bisect import bisect_right
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from typing import Any, NamedTuple

FROM_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]")
UNSEEN, SEEN = 3, 0


class Glyph(NamedTuple):
    """A glyph of a line, with the letters it stands for and where they are in the text; none for one that only goes
    with another. `x` and `y` say how far it stands from the beginning of the line, in Pango's units."""

    at: int
    letters: str
    font: Any
    number: int
    x: int
    y: int
    width: int


@contextmanager
def in_reading_order() -> Iterator[None]:
    """While this lasts, WeasyPrint writes lines with letters from right to left as they are read."""
    from weasyprint.draw import text as drawing
    from weasyprint.text.ffi import pango

    before = drawing.draw_first_line

    def draw_first_line(stream: Any, textbox: Any, overflow: str, ellipsis: Any, matrix: Any) -> Any:
        if overflow == "ellipsis" or ellipsis != "none" or not FROM_RIGHT_TO_LEFT.search(textbox.text):
            return before(stream, textbox, overflow, ellipsis, matrix)
        glyphs = sorted(_glyphs(textbox.pango_layout), key=lambda glyph: glyph.at)
        if any(glyph.number & pango.PANGO_GLYPH_UNKNOWN_FLAG for glyph in glyphs):
            return before(stream, textbox, overflow, ellipsis, matrix)
        for glyph in glyphs:
            _draw(stream, glyph, matrix)
        return []

    drawing.draw_first_line = draw_first_line
    try:
        yield
    finally:
        drawing.draw_first_line = before


def _glyphs(layout: Any) -> Iterator[Glyph]:
    """The glyphs of a layout's first line, from left to right; those of one letter in the order of reading."""
    from weasyprint.text.ffi import ffi, pango

    pango.pango_layout_set_single_paragraph_mode(layout.layout, True)
    text = layout.text.encode()
    run, x = layout.get_first_line()[0].runs[0], 0
    while run != ffi.NULL:
        item, glyphs, run = run.data.item, run.data.glyphs, run.next
        clusters = glyphs.log_clusters[0 : glyphs.num_glyphs]
        within: dict[int, list[tuple[Any, int]]] = {}
        for info, cluster in zip(glyphs.glyphs[0 : glyphs.num_glyphs], clusters, strict=True):
            within.setdefault(cluster, []).append((info, x))
            x += info.geometry.width
        ends = [*sorted(within), item.length]
        for cluster, infos in within.items():
            at = item.offset + cluster
            letters = text[at : item.offset + ends[bisect_right(ends, cluster)]].decode()
            in_order = infos[:: -1 if item.analysis.level % 2 else 1]
            for (info, left), own in zip(in_order, _shared(letters, len(infos)), strict=True):
                if info.glyph != pango.PANGO_GLYPH_EMPTY:
                    place = left + info.geometry.x_offset, info.geometry.y_offset
                    yield Glyph(at, own, item.analysis.font, info.glyph, *place, info.geometry.width)


def _shared(letters: str, glyphs: int) -> list[str]:
    """Letters by the glyphs that they are written with: mostly one each, as a letter and the marks on it are."""
    own = [*letters[: glyphs - 1], letters[glyphs - 1 :]]
    return own + [""] * (glyphs - len(own))


def _draw(stream: Any, glyph: Glyph, matrix: Any) -> None:
    *others, last = list(glyph.letters) or [""]
    share = glyph.width // (len(others) + 1)
    for after, letter in zip(range(len(others), 0, -1), others, strict=True):
        number = _numbers(stream.add_font(glyph.font)[0].file_content).get(ord(letter))
        if number:
            stream.set_text_rendering(UNSEEN)
            _show(stream, glyph._replace(number=number, letters=letter, x=glyph.x + share * after), matrix, share)
            stream.set_text_rendering(SEEN)
    _show(stream, glyph._replace(letters=last), matrix)


def _show(stream: Any, glyph: Glyph, matrix: Any, width: int = 0) -> None:
    """Write a glyph where it stands; made as wide as is said, or as wide as it is."""
    from weasyprint.text.ffi import FROM_UNITS, pango

    font, size = stream.add_font(glyph.font)
    font.to_unicode.setdefault(glyph.number, glyph.letters)
    if glyph.number not in font.widths:
        pango.pango_font_get_glyph_extents(glyph.font, glyph.number, stream.ink_rect, stream.logical_rect)
        font.widths[glyph.number] = round(stream.logical_rect.width * 1000 * FROM_UNITS / size)
    own = font.widths[glyph.number] * size / 1000
    wide = width * FROM_UNITS / own if width and own else 1
    a, b, c, d, e, f = matrix.values
    stream.set_font_size(font.hash, size)
    stream.set_text_matrix(a * wide, b, c, d, e + glyph.x * FROM_UNITS, f + glyph.y * FROM_UNITS)
    stream.show_text(f"<{glyph.number:04x}>")


@lru_cache(maxsize=8)
def _numbers(font: bytes) -> dict[int, int]:
    """The glyphs of a font's letters, each by itself."""
    from fontTools.ttLib import TTFont

    face = TTFont(io.BytesIO(font), lazy=True)
    return {letter: face.getGlyphID(name) for letter, name in face.getBestCmap().items()}
