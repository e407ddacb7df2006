"""Pages put together of boxes that WeasyPrint laid out: those of a sheet with empty cells, and those of the cells.

They end up as WeasyPrint would have left them: a row is as high as its highest cell, and what stands below moves down.
So all that comes after the layout stays WeasyPrint's: painting, tags, bookmarks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import inf
from typing import Any

from weasyprint.formatting_structure.boxes import MarginBox, TableCellBox, TableRowBox, TextBox
from weasyprint.layout.absolute import AbsolutePlaceholder
from weasyprint.layout.background import layout_box_backgrounds
from weasyprint.layout.inline import split_text_box
from weasyprint.layout.percent import percentage
from weasyprint.layout.table import add_top_padding

HAIR = 1e-6
"""Pixels that may be lost in adding up."""


class Form:
    """A sheet with empty cells, alone on its page, which numbers itself in these `words`."""

    def __init__(self, page: Any, words: str) -> None:
        self.words = words
        self._page = page
        self._slots = {box: slot for slot, box in marked("data-slot", [page])}
        self._holding = {*self._holding_slots(page)}
        self._sheet = next(box for box in self._holding if box.element_tag == "section")
        self._head = next((text for box in self._slots for text in _heads(box)), "")

    def _holding_slots(self, box: Any) -> list[Any]:
        """The boxes that have a slot within."""
        below = [one for child in box.children if child not in self._slots for one in self._holding_slots(child)]
        return [*below, box] if below or any(child in self._slots for child in box.children) else []

    def fits(self, cells: list[Any]) -> bool:
        """Whether with these in its slots it still takes one page, and what stands at its head one line."""
        bottom = self._sheet.border_box_y() + self._sheet.border_height() + self._grown(self._sheet, cells)
        if bottom > self._page.content_box_y() + self._page.height + HAIR:
            return False
        said = self._said(cells)
        return all(_told(box, said).width <= margin.width + HAIR for margin, box in _in_margins(self._page))

    def filled(self, cells: list[Any]) -> Any:
        """Its page with these in its slots."""
        sheet, *margins = self._page.children
        page = self._page.copy_with_children([self._filled(sheet, 0, cells), *margins])
        retell(page, self._said(cells))
        return page

    def _said(self, cells: list[Any]) -> dict[str, str]:
        """What its page says with these at its head, in place of what it does."""
        return {self._head: next((text for cell in cells for text in _heads(cell)), self._head)}

    def _grown(self, box: Any, cells: list[Any]) -> float:
        """By how many pixels a box gets higher."""
        if box in self._slots:
            return _height(cells[self._slots[box]]) - _height(box)
        if box not in self._holding:
            return 0
        if isinstance(box, TableRowBox):
            row: float = max(_height(cell) + self._grown(cell, cells) for cell in box.children)
            return row - float(box.height)
        return sum(self._grown(child, cells) for child in box.children)

    def _filled(self, box: Any, down: float, cells: list[Any]) -> Any:
        """A box that stands so much further down, filled in."""
        if box in self._slots:
            cell = cells[self._slots[box]]
            return _moved(cell, box.border_box_y() + down - cell.border_box_y())
        if box not in self._holding:
            return _moved(box, down) if down else box
        made = box.copy()
        made.position_y += down
        if isinstance(box, TableRowBox):
            made.children = [self._filled(cell, down, cells) for cell in box.children]
            made.height = _as_high_as_one(made.children)
            return _with_background(made)
        made.children = []
        for child in box.children:
            made.children.append(kid := self._filled(child, down, cells))
            if kid is not child:
                more = kid.border_height() - child.border_height()
                made.height += more
                down += more
        return _with_background(made)


def marked(name: str, boxes: Iterable[Any]) -> Iterator[tuple[int, Any]]:
    """The outermost boxes whose elements have an attribute, with its number."""
    for box in boxes:
        number = None if box.element is None else box.element.get(name)
        if number is None:
            yield from marked(name, box.children)
        else:
            yield int(number), box


def sheet_on(page: Any) -> Any:
    """The element of the sheet that is on a page."""
    return next(box.element for box in page.descendants() if box.element_tag == "section")


def retell(page: Any, words: dict[str, str]) -> None:
    """Have a page say other words than it did at its head and its foot, each on a line."""
    changed = {margin: _told(box, words) for margin, box in _in_margins(page) if box.text in words}
    page.children = [_retold(box, changed[box]) if box in changed else box for box in page.children]


def _in_margins(page: Any) -> Iterator[tuple[Any, Any]]:
    """What stands at the head and foot of a page as one text, beside its box."""
    for margin in page.children:
        if isinstance(margin, MarginBox):
            texts = [box for box in margin.descendants() if isinstance(box, TextBox)]
            if len(texts) == 1:
                yield margin, texts[0]


def _told(box: Any, words: dict[str, str]) -> Any:
    """A text, or what is told in its place, which begins or ends where it did."""
    if box.text not in words:
        return box
    told, *_ = split_text_box(None, box.copy_with_text(words[box.text]), inf, 0)
    if box.style["text_align_all"] == "right":
        told.position_x += box.width - told.width
    return told


def _retold(box: Any, told: Any) -> Any:
    """The box of a margin with another text in it."""
    if isinstance(box, TextBox):
        return told
    return box.copy_with_children([_retold(child, told) for child in box.children])


def _heads(box: Any) -> list[str]:
    """What a box wants to stand at the head of its page."""
    return [text for _, text in box.string_set or ()]


def _moved(box: Any, down: float) -> Any:
    """A copy of a box and all that is in it. What has a place of its own on the sheet stays there."""
    if isinstance(box, AbsolutePlaceholder):
        return box
    made = box.copy()
    made.position_y += down
    if box.children:
        made.children = [_moved(child, down) for child in box.children]
    return _with_background(made)


def _with_background(box: Any) -> Any:
    if box.background and box.background.layers:
        layout_box_backgrounds(None, box, None, layout_children=False)
    return box


def _height(box: Any) -> float:
    """The height of a box; that of a cell as though it were alone in its row."""
    height: float = box.border_height()
    if isinstance(box, TableCellBox):
        top, bottom = _paddings(box)
        height += top + bottom - box.padding_top - box.padding_bottom
    return height


def _paddings(cell: Any) -> tuple[float, float]:
    """What stands above and below in a cell that is alone in its row."""
    top = percentage(cell.style["padding_top"], cell.style, 0)
    bottom = percentage(cell.style["padding_bottom"], cell.style, 0)
    return (top if cell.vertical_align in ("middle", "bottom") else cell.padding_top), bottom


def _as_high_as_one(cells: list[Any]) -> float:
    """Make the cells of a row as high as the highest of them."""
    row = max(_height(cell) for cell in cells)
    for cell in cells:
        lacking = row - _height(cell)
        top, bottom = _paddings(cell)
        above = {"middle": lacking / 2, "bottom": lacking}.get(cell.vertical_align, 0)
        add_top_padding(cell, top + above - cell.padding_top)
        cell.padding_bottom = bottom + lacking - above
    return row
