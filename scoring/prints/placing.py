"""What lies where on a page that was put together of what was painted: that of a sheet with empty cells, and of cells.

It ends up as WeasyPrint would have left it: a row is as high as its highest cell, and what stands below moves down.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple, Protocol

from weasyprint.formatting_structure.boxes import TableCellBox, TableRowBox, TableRowGroupBox
from weasyprint.layout.background import layout_box_backgrounds
from weasyprint.layout.percent import percentage

from scoring.prints.painting import Painted, Painter, Tag, tags_of


class Placed(NamedTuple):
    """Something painted, so many pixels further down than where it was laid out; of a slot, its number."""

    painted: Painted
    down: float
    slot: int | None = None


class Fitting(NamedTuple):
    """How a cell stands in its row: its height as though it were alone, what stands above it then and where it was laid
    out, and its vertical alignment."""

    height: float
    top: float
    was: float
    align: str

    @classmethod
    def of(cls, cell: Any) -> Fitting:
        top = percentage(cell.style["padding_top"], cell.style, 0)
        bottom = percentage(cell.style["padding_bottom"], cell.style, 0)
        if cell.vertical_align not in ("middle", "bottom"):
            top = cell.padding_top
        height = cell.border_height() + top + bottom - cell.padding_top - cell.padding_bottom
        return cls(height, top, cell.padding_top, cell.vertical_align)

    def down(self, row: float) -> float:
        """How much further down than it was laid out it stands in a row of this height."""
        lacking = row - self.height
        return self.top - self.was + {"middle": lacking / 2, "bottom": lacking}.get(self.align, 0)


class Cell(NamedTuple):
    """What comes into a slot, painted: where it was laid out, its height, its tags, and what it puts at the head of its
    page."""

    painted: Painted
    y: float
    height: float
    fitting: Fitting | None
    tags: tuple[Tag | int, ...]
    heads: tuple[str, ...]


def painted_cell(painter: Painter, box: Any, page: Any, known: dict[Any, Any]) -> Cell:
    """A cell, or what else comes into a slot, without what a cell has of its row. Most are tagged alike and fit alike:
    `known` keeps what they share."""
    is_cell = isinstance(box, TableCellBox)
    texts: dict[Any, Any] = {}
    painted = painter.paint(_bare(box) if is_cell else box, page, texts)
    (tag,) = tags_of(box, texts, {}, parent="TR" if is_cell else "Sect")
    fitting = Fitting.of(box) if is_cell else None
    shared = known.setdefault(fitting, fitting), known.setdefault(tag.kids, tag.kids)
    return Cell(painted, box.border_box_y(), box.border_height(), *shared, heads_of(box))


class Node(Protocol):
    """A box of a page that is put together, with what is in it."""

    def grown(self, cells: list[Cell]) -> float:
        """By how many pixels it gets higher with these in the slots."""

    def place(self, down: float, cells: list[Cell], placed: list[Placed]) -> float:
        """Place what is painted of it, so much further down. By how many pixels it got higher."""


class Nodes:
    """Makes the boxes of a page into nodes, as far as there are slots in them, and paints the rest."""

    def __init__(self, painter: Painter, page: Any, slots: dict[Any, int], texts: dict[Any, Any]) -> None:
        self._painter, self._page, self._slots, self._texts = painter, page, slots, texts

    def of(self, box: Any) -> Node:
        if box in self._slots:
            return _Slot(self._slots[box], box)
        if isinstance(box, TableRowBox):
            return _Row(_Own(self._painter, box), [self._in_row(cell) for cell in box.children])
        if self._holds(box) or isinstance(box, TableRowGroupBox):
            return _Holder(_Own(self._painter, box), [self.of(child) for child in box.children])
        return _Still(self._painter.paint(box, self._page, self._texts))

    def _in_row(self, cell: Any) -> _InRow:
        inside: list[Node]
        if cell in self._slots:
            inside = []
        elif self._holds(cell):
            inside = [self.of(child) for child in cell.children]
        else:
            inside = [_Still(self._painter.paint(_bare(cell), self._page, self._texts))]
        return _InRow(_Own(self._painter, cell), inside, Fitting.of(cell), self._slots.get(cell), cell.border_box_y())

    def _holds(self, box: Any) -> bool:
        return any(child in self._slots for child in box.descendants())


class _Own:
    """What a box itself has of a page, its background and its border, at any height."""

    def __init__(self, painter: Painter, box: Any) -> None:
        self._painter, self._box = painter, box
        self.height: float = box.border_height()
        self._at_heights: dict[float, Painted | None] = {}
        self._has_some = self._painted(0) is not None

    def place(self, down: float, more: float, placed: list[Placed]) -> None:
        """Place it, so many pixels higher than it was laid out."""
        painted = self._painted(more) if self._has_some else None
        if painted:
            placed.append(Placed(painted, down))

    def _painted(self, more: float) -> Painted | None:
        more = round(more, 4)
        if more not in self._at_heights:
            box = _higher(self._box, more)
            if isinstance(box, TableRowBox):  # its background is as high as its cells
                box.children = [_higher(cell, more) for cell in box.children]
            if box.background and box.background.layers:
                layout_box_backgrounds(None, box, None, layout_children=False)
            self._at_heights[more] = self._painter.paint_own(box)
        return self._at_heights[more]


class _Still(NamedTuple):
    """What is the same on every sheet."""

    painted: Painted

    def grown(self, cells: list[Cell]) -> float:
        return 0

    def place(self, down: float, cells: list[Cell], placed: list[Placed]) -> float:
        placed.append(Placed(self.painted, down))
        return 0


class _Slot:
    """What is filled in and is no cell of a row."""

    def __init__(self, slot: int, box: Any) -> None:
        self._slot = slot
        self._y: float = box.border_box_y()
        self._height: float = box.border_height()

    def grown(self, cells: list[Cell]) -> float:
        return cells[self._slot].height - self._height

    def place(self, down: float, cells: list[Cell], placed: list[Placed]) -> float:
        cell = cells[self._slot]
        placed.append(Placed(cell.painted, self._y + down - cell.y, self._slot))
        return self.grown(cells)


class _Holder(NamedTuple):
    """What has slots in it, or rows."""

    own: _Own
    inside: list[Node]

    def grown(self, cells: list[Cell]) -> float:
        return sum(node.grown(cells) for node in self.inside)

    def place(self, down: float, cells: list[Cell], placed: list[Placed]) -> float:
        above: list[Placed] = []
        grown = 0.0
        for node in self.inside:
            grown += node.place(down + grown, cells, above)
        self.own.place(down, grown, placed)
        placed += above
        return grown


class _InRow(NamedTuple):
    """A cell of a row: a slot, or what has slots in it, or neither."""

    own: _Own
    inside: list[Node]
    fitting: Fitting
    slot: int | None
    y: float

    def height(self, cells: list[Cell]) -> float:
        """Its height as though it were alone in its row."""
        if self.slot is not None:
            return self._fitting(cells).height
        return self.fitting.height + sum(node.grown(cells) for node in self.inside)

    def place(self, down: float, row: float, cells: list[Cell], placed: list[Placed]) -> None:
        self.own.place(down, row - self.own.height, placed)
        if self.slot is not None:
            cell = cells[self.slot]
            lower = self.y + down - cell.y + self._fitting(cells).down(row)
            placed.append(Placed(cell.painted, lower, self.slot))
            return
        grown = sum(node.grown(cells) for node in self.inside)
        down += self.fitting._replace(height=self.fitting.height + grown).down(row)
        for node in self.inside:
            down += node.place(down, cells, placed)

    def _fitting(self, cells: list[Cell]) -> Fitting:
        assert self.slot is not None
        fitting = cells[self.slot].fitting
        assert fitting is not None
        return fitting


class _Row(NamedTuple):
    own: _Own
    inside: list[_InRow]

    def height(self, cells: list[Cell]) -> float:
        return max(cell.height(cells) for cell in self.inside)

    def grown(self, cells: list[Cell]) -> float:
        return self.height(cells) - self.own.height

    def place(self, down: float, cells: list[Cell], placed: list[Placed]) -> float:
        height = self.height(cells)
        self.own.place(down, height - self.own.height, placed)
        for cell in self.inside:
            cell.place(down, height, cells, placed)
        return height - self.own.height


def marked(name: str, boxes: Iterable[Any]) -> Iterator[tuple[int, Any]]:
    """The outermost boxes whose elements have an attribute, with its number."""
    for box in boxes:
        number = None if box.element is None else box.element.get(name)
        if number is None:
            yield from marked(name, box.children)
        else:
            yield int(number), box


def heads_of(box: Any) -> tuple[str, ...]:
    """What a box wants to stand at the head of its page."""
    return tuple(text for _, text in box.string_set or ())


def _higher(box: Any, more: float) -> Any:
    made = box.copy()
    made.height += more
    return made


def _bare(cell: Any) -> Any:
    """A cell without what it has of its row: its background and its border, which are as high as that."""
    bare = cell.copy()
    bare.background = None
    for side in ("top", "right", "bottom", "left"):
        setattr(bare, f"border_{side}_width", 0)
    return bare
