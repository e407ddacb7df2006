"""One PDF of several that were made one after another.

Laid out, a page takes megabytes of memory; written, it takes kilobytes. So a long document is laid out and painted some
pages at a time, and what was painted is put together here: pages, tags and bookmarks. WeasyPrint writes each part with
pydyf, whose objects know each other by number; they get new numbers, and the trees that hold pages, tags and bookmarks
together get one root each.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pydyf

# A reference, or a text that might hold something like one.
_REFERENCE = re.compile(rb"\((?:\\.|[^\\)])*\)|\b(\d+) 0 R\b", re.DOTALL)
_STREAM = b"\nstream\n"


class _Written:
    """An object of a PDF whose bytes are known, as pydyf writes one."""

    __slots__ = ("compressible", "data", "number", "offset")
    generation = 0
    free = "n"

    def __init__(self, number: int, data: bytes, compressible: bool) -> None:
        self.number, self.data, self.compressible, self.offset = number, data, compressible, 0

    @property
    def indirect(self) -> bytes:
        return b"%d 0 obj\n%b\nendobj" % (self.number, self.data)


@dataclass(frozen=True)
class PaintedPart:
    """What was painted of a document: all objects by their own numbers, and which of them are the roots."""

    objects: list[tuple[int, bytes, bool]]
    pages: list[int]
    catalog: dict[str, Any]
    tree: int
    root: int
    tags: list[bytes]
    tags_by_page: list[bytes]
    outlines: int
    bookmarks: tuple[int, int, int]


def painted(pdf: pydyf.PDF) -> PaintedPart:
    """What there is of a PDF that WeasyPrint is about to write. Nothing is left in it to be written."""
    by_number = {made.number: made for made in pdf.objects}

    def found(reference: bytes) -> Any:
        return by_number[int(reference.split()[0])]

    tree = found(pdf.catalog["StructTreeRoot"])
    root = found(tree["K"][0])
    by_page = found(tree["ParentTree"])
    pages = pdf.pages["Kids"][::3]
    outlines = found(pdf.catalog["Outlines"]) if "Outlines" in pdf.catalog else None
    bookmarks = (found(outlines["First"]).number, found(outlines["Last"]).number, outlines["Count"]) if outlines else ()
    for number in pages:
        del by_number[number]["StructParents"]
    apart = {0, pdf.pages.number, pdf.catalog.number, tree.number, root.number, by_page.number}
    if outlines:
        apart.add(outlines.number)
    part = PaintedPart(
        [(made.number, made.data, made.compressible) for made in pdf.objects if made.number not in apart],
        pages,
        dict(pdf.catalog),
        tree.number,
        root.number,
        list(root["K"]),
        [pydyf.Array(item).data for item in by_page["Nums"][1::2]],
        outlines.number if outlines else 0,
        bookmarks or (0, 0, 0),
    )
    del pdf.objects[1:]
    pdf.add_object(pdf.pages)
    pdf.add_object(pdf.catalog)
    return part


def put_together(pdf: pydyf.PDF, parts: list[PaintedPart]) -> None:
    """Make a PDF that was emptied by `painted` hold these parts, in this order. One part may stand there repeatedly."""
    tree, root, by_page = pydyf.Dictionary(), pydyf.Dictionary(), pydyf.Dictionary()
    outlines = pydyf.Dictionary({"Count": 0})
    for made in (tree, root, by_page, outlines):
        pdf.add_object(made)
    tree |= {"Type": "/StructTreeRoot", "ParentTree": by_page.reference, "K": pydyf.Array([root.reference])}
    root |= {"Type": "/StructElem", "S": "/Document", "P": tree.reference, "K": pydyf.Array()}
    by_page["Nums"] = pydyf.Array()
    pdf.pages |= {"Kids": pydyf.Array(), "Count": 0}
    last: _Written | None = None
    for part in parts:
        numbers = {number: at for at, (number, *_) in enumerate(part.objects, start=len(pdf.objects))}
        numbers |= {pdf.pages.number: pdf.pages.number, part.tree: tree.number, part.root: root.number}
        numbers[part.outlines] = outlines.number
        renumber = _renumbering(numbers)
        for number, data, compressible in part.objects:
            head, stream, rest = data.partition(_STREAM) if not compressible else (data, b"", b"")
            pdf.objects.append(_Written(numbers[number], renumber(head) + stream + rest, compressible))
        for number, tags in zip(part.pages, part.tags_by_page, strict=True):
            page = pdf.objects[numbers[number]]
            page.data = page.data.removesuffix(b">>") + b"/StructParents %d>>" % pdf.pages["Count"]
            by_page["Nums"] += [pdf.pages["Count"], renumber(tags)]
            pdf.pages["Kids"] += [page.number, 0, "R"]
            pdf.pages["Count"] += 1
        root["K"] += [renumber(tag) for tag in part.tags]
        if part.outlines:
            first_number, last_number, count = part.bookmarks
            first = pdf.objects[numbers[first_number]]
            if last:
                last.data = last.data.removesuffix(b">>") + b"/Next %d 0 R>>" % first.number
                first.data = first.data.removesuffix(b">>") + b"/Prev %d 0 R>>" % last.number
            else:
                outlines["First"] = b"%d 0 R" % first.number
            last = pdf.objects[numbers[last_number]]
            outlines["Count"] += count
        metadata = renumber(part.catalog["Metadata"])
    pdf.catalog |= {"StructTreeRoot": tree.reference, "Metadata": metadata}
    if last:
        outlines["Last"] = b"%d 0 R" % last.number
        pdf.catalog["Outlines"] = outlines.reference


def _renumbering(numbers: dict[int, int]) -> Callable[[bytes], bytes]:
    def changed(match: re.Match[bytes]) -> bytes:
        return b"%d 0 R" % numbers[int(match[1])] if match[1] else match[0]

    return lambda data: _REFERENCE.sub(changed, data)
