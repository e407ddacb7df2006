"""A page of which the slots can be filled in with what was painted of cells.

What stands at its head and foot is told anew for each page.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Any

from weasyprint.formatting_structure.boxes import MarginBox, TextBox
from weasyprint.layout.inline import split_text_box

from scoring.prints.painting import Painted, Painter, Tag, tags_of
from scoring.prints.placing import Cell, Nodes, Placed, heads_of, marked

HAIR = 1e-6
"""Pixels that may be lost in adding up."""


class Form:
    """A page as it was laid out, painted, whose slots can be filled in. It numbers itself in these `words`."""

    def __init__(self, painter: Painter, page: Any, words: str) -> None:
        self.words = words
        self.size = page.margin_width(), page.margin_height()
        self._painter = painter
        self._slots = {box: slot for slot, box in marked("data-slot", [page])}
        self._head = next((text for box in self._slots for text in heads_of(box)), "")
        self._page = page.copy_with_children([])
        root, *margins = page.children
        texts: dict[Any, Any] = {}
        self.canvas = painter.paint_canvas(page)
        self._sheet = Nodes(painter, self._page, self._slots, texts).of(root)
        self.texts = len(texts)
        self.tags = tags_of(root, texts, self._slots)
        self._margins = [(margin, _only_text(margin)) for margin in margins if isinstance(margin, MarginBox)]
        self._still: dict[Any, tuple[Painted, list[Tag]]] = {}
        sheet = next(box for box in page.descendants() if box.element_tag == "section")
        self._ends = sheet.border_box_y() + sheet.border_height()
        self._bottom = page.content_box_y() + page.height

    def fits(self, cells: list[Cell]) -> bool:
        """Whether with these in its slots it still takes one page, and what stands at its head one line."""
        if self._ends + self._sheet.grown(cells) > self._bottom + HAIR:
            return False
        said = self._said(cells)
        changed = [(margin, text) for margin, text in self._margins if text and text.text in said]
        return all(_told(text, said).width <= margin.width + HAIR for margin, text in changed)

    def filled(self, cells: list[Cell]) -> list[Placed]:
        """What lies on its page with these in its slots."""
        placed: list[Placed] = []
        self._sheet.place(0, cells, placed)
        return placed

    def around(self, cells: list[Cell], words: str) -> Iterator[tuple[Painted, list[Tag]]]:
        """What is painted at its head and foot with these in its slots, when it numbers itself in other words; with its
        tags, which are in no other."""
        said = self._said(cells) | {self.words: words}
        for margin, text in self._margins:
            if text and text.text in said:
                yield self._painted(_retold(margin, text, _told(text, said)))
            else:
                if margin not in self._still:
                    self._still[margin] = self._painted(margin)
                yield self._still[margin]

    def _painted(self, margin: Any) -> tuple[Painted, list[Tag]]:
        texts: dict[Any, Any] = {}
        return self._painter.paint(margin, self._page, texts), tags_of(margin, texts, {})

    def _said(self, cells: list[Cell]) -> dict[str, str]:
        return {self._head: next((text for cell in cells for text in cell.heads), self._head)}


def sheet_on(page: Any) -> Any:
    """The element of the sheet that is on a page."""
    return next(box.element for box in page.descendants() if box.element_tag == "section")


def _only_text(margin: Any) -> Any:
    """What stands at the head or foot of a page as one text, if it is one."""
    texts = [box for box in margin.descendants() if isinstance(box, TextBox)]
    return texts[0] if len(texts) == 1 else None


def _told(box: Any, words: dict[str, str]) -> Any:
    """A text, or what is told in its place, which begins or ends where it did."""
    if box.text not in words:
        return box
    told, *_ = split_text_box(None, box.copy_with_text(words[box.text]), inf, 0)
    if box.style["text_align_all"] == "right":
        told.position_x += box.width - told.width
    return told


def _retold(box: Any, text: Any, told: Any) -> Any:
    """The box of a margin with another text in place of its own."""
    if box is text:
        return told
    if isinstance(box, TextBox):
        return box
    return box.copy_with_children([_retold(child, text, told) for child in box.children])
