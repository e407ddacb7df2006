"""Texts that a document writes again and again, of which the glyphs are found but once.

A sheet that is put together of copies (`filling.py`) has texts that share a layout, and WeasyPrint would have Pango lay
each out anew to write it. What is written of one is its place, its font and its glyphs: the glyphs and the font are
kept, for one document, as each has fonts of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple


class _Written(NamedTuple):
    font: Any
    size: float
    glyphs: bytes


@contextmanager
def texts_written_once() -> Iterator[None]:
    """While this lasts, WeasyPrint writes a text whose layout it has written in a document as it wrote it there."""
    from weasyprint import draw as drawing
    from weasyprint.draw import text as writing

    draw_text, draw_first_line = drawing.draw_text, writing.draw_first_line
    known: dict[Any, _Written] = {}
    of: Any = None

    def draw_a_text(stream: Any, box: Any, offset: float, overflow: str, ellipsis: Any) -> None:
        nonlocal of
        if stream._fonts is not of:  # another document's
            of = stream._fonts
            known.clear()
        found = known.get(box.pango_layout) if _is_plain(box, overflow, ellipsis) else None
        if found is None:
            draw_text(stream, box, offset, overflow, ellipsis)
            return
        stream.set_color(box.style["color"])
        stream.begin_text()
        stream.set_text_matrix(1, 0, 0, -1, box.position_x, box.position_y + box.baseline)
        stream.set_font_size(found.font, found.size)
        stream.stream.append(found.glyphs)
        stream.end_text()

    def draw_a_line(stream: Any, box: Any, overflow: str, ellipsis: Any, matrix: Any) -> Any:
        begins = len(stream.stream)
        if _is_plain(box, overflow, ellipsis):
            stream._current_font = None  # so that it is said which font it is
        emojis = draw_first_line(stream, box, overflow, ellipsis, matrix)
        written = stream.stream[begins:]  # where, in which font, and which glyphs
        if len(written) == 3 and not emojis and _is_plain(box, overflow, ellipsis):
            font, size = stream._current_font
            known[box.pango_layout] = _Written(font, size, written[2])
        return emojis

    drawing.draw_text, writing.draw_first_line = draw_a_text, draw_a_line
    try:
        yield
    finally:
        drawing.draw_text, writing.draw_first_line = draw_text, draw_first_line


def _is_plain(box: Any, overflow: str, ellipsis: Any) -> bool:
    """Whether a text is written as it stands, with nothing drawn below, above or through it."""
    style = box.style
    return (
        overflow != "ellipsis"
        and ellipsis == "none"
        and style["text_decoration_line"] == "none"
        and style["visibility"] == "visible"
    )
