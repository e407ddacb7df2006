"""Boxes that WeasyPrint laid out, painted once, so that what was painted can be put onto any number of pages.

What is painted of a box is told apart from where it stands: a page moves it down as far as it needs. In it an MCID ties
each text to its tag; pages number theirs from 0, so that what comes after something else is numbered anew.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import pydyf
from weasyprint.anchors import gather_anchors
from weasyprint.draw import draw_background, draw_stacking_context
from weasyprint.draw.border import draw_border
from weasyprint.formatting_structure.boxes import MarginBox
from weasyprint.layout.absolute import AbsolutePlaceholder
from weasyprint.pdf import tags as tagging
from weasyprint.stacking import StackingContext

_MCID = re.compile(rb"(?<=<</MCID )\d+(?=>>)")
_OF_TABLE = re.compile(rb"(?<=\()\d+(?=-\d+-\d+\))")
_SAID = ("Type", "S", "K", "P", "Pg", "A", "ID")
"""What is said of a tag apart from the rest."""


class Tag(NamedTuple):
    """A tag: its kind and what it says besides, split where it names its table; the place of a picture; what it holds,
    which is tags and the numbers of texts; and whether it is that of a slot, whose number then is its only text."""

    kind: bytes
    about: tuple[bytes, ...]
    picture: tuple[float, ...] | None
    kids: tuple[Tag | int, ...]
    is_slot: bool = False


class Mark(NamedTuple):
    """A bookmark, at a point in pixels, as WeasyPrint has them."""

    level: int
    label: str
    at: tuple[float, float]
    state: str

    def moved(self, down: float) -> Mark:
        x, y = self.at
        return self._replace(at=(x, y + down))


class Painted(NamedTuple):
    """What was painted of a box, with `%d` in place of each MCID, the MCIDs, and its bookmarks."""

    content: bytes
    texts: tuple[int, ...]
    marks: tuple[Mark, ...]

    def numbered(self, first: int) -> bytes:
        """With MCIDs that much higher."""
        return self.content % tuple(first + text for text in self.texts)


class Painter:
    """Paints boxes with the fonts and pictures of one document, of which `stream` is a page's."""

    def __init__(self, stream: Any) -> None:
        self._stream = stream

    def paint(self, box: Any, page: Any, texts: dict[Any, Any]) -> Painted:
        """A box and all that is in it. `texts` are those that are numbered already; its own come after them."""
        stream = self._new(texts)
        placed = box._box if isinstance(box, AbsolutePlaceholder) else box
        draw_stacking_context(stream, StackingContext.from_box(placed, page))
        found: list[Any] = []
        gather_anchors(placed, {}, [], found, {None: []})
        return _painted(stream, [Mark(*mark) for mark in found])

    def paint_own(self, box: Any) -> Painted | None:
        """The background and the border of a box, if it has any."""
        stream = self._new({})
        draw_background(stream, box.background)
        draw_border(stream, box)
        return _painted(stream, []) if stream.stream else None

    def paint_canvas(self, page: Any) -> Painted:
        """What stands behind all that is on a page."""
        stream = self._new({})
        draw_background(stream, page.background, clip_box=False, bleed=page.bleed, marks=page.style["marks"])
        draw_background(stream, page.canvas_background, clip_box=False)
        draw_border(stream, page)
        return _painted(stream, [])

    def _new(self, texts: dict[Any, Any]) -> Any:
        stream = self._stream.clone(tags=texts)
        stream._ctm_stack = [self._stream.ctm]
        return stream


def _painted(stream: Any, marks: list[Mark]) -> Painted:
    content = b"\n".join(pydyf._to_bytes(item) for item in stream.stream).replace(b"%", b"%%")
    return Painted(_MCID.sub(b"%d", content), tuple(map(int, _MCID.findall(content))), tuple(marks))


class _Elements:
    """What WeasyPrint asks of a PDF while it makes tags."""

    page_references = (b"",)

    def __init__(self) -> None:
        self.made: dict[bytes, Any] = {}

    def add_object(self, element: Any) -> None:
        element.number = len(self.made) + 1
        self.made[element.reference] = element


def tags_of(box: Any, texts: dict[Any, Any], slots: dict[Any, int], parent: str = "Document") -> list[Tag]:
    """The tags of a box whose `texts` were numbered when it was painted, with `slots` in it, by their boxes. What
    stands at the head or foot of a page has some that are in no other."""
    pdf, above = _Elements(), pydyf.Dictionary({"S": f"/{parent}"})
    pdf.add_object(above)
    build = tagging._build_box_tree
    slot_of: dict[bytes, int] = {}

    def or_slot(box: Any, parent: Any, *others: Any) -> Iterator[Any]:
        if box not in slots:
            yield from build(box, parent, *others)
            return
        element = pydyf.Dictionary({"S": f"/{tagging._get_pdf_tag(box.element_tag)}", "K": [], "P": parent.reference})
        pdf.add_object(element)
        slot_of[element.reference] = slots[box]
        if element["S"] in ("/TD", "/TH"):
            element["A"] = pydyf.Dictionary({"O": "/Table"} | _spans(box))
            box.mark = element
        yield element

    tagging._build_box_tree = or_slot
    try:
        made = list(or_slot(box, above, pdf, 0, {}, [], texts))
    finally:
        tagging._build_box_tree = build
    if isinstance(box, MarginBox):
        made = [element for element in pdf.made.values() if element.get("P") == above.reference]
    return [_tag(element, pdf.made, slot_of) for element in made]


def _spans(cell: Any) -> dict[str, int]:
    spans = {"ColSpan": cell.colspan, "RowSpan": cell.rowspan}
    return {name: span for name, span in spans.items() if span != 1}


def _tag(element: Any, made: dict[bytes, Any], slot_of: dict[bytes, int]) -> Tag:
    """What was made of a tag and all within. Of a picture, where it stands is said when that is known."""
    attributes = element.get("A", {})
    picture = tuple(attributes["BBox"]) if "BBox" in attributes else None
    own = [name for name in ("ID", "A") if name in element and not picture]
    others = [name for name in element if name not in _SAID]
    first, *more = _OF_TABLE.split(_inside(element, own))
    about = (_inside(element, others) + first, *more)
    slot = slot_of.get(element.reference)
    if slot is not None:
        return Tag(element["S"].encode(), about, picture, (slot,), is_slot=True)
    kids = tuple(kid if isinstance(kid, int) else _tag(made[kid], made, slot_of) for kid in element["K"])
    return Tag(element["S"].encode(), about, picture, kids)


def _inside(element: Any, names: list[str]) -> bytes:
    """What a dictionary of a PDF says under these names."""
    data: bytes = pydyf.Dictionary({name: element[name] for name in names}).data
    return data[2:-2]
