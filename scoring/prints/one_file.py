"""One PDF of several that were made one after another.

Laid out, a page takes megabytes of memory; written, it takes kilobytes. So a long document is laid out and painted some
pages at a time, and what was painted is put together here: pages, tags and bookmarks. WeasyPrint writes each part with
pydyf, whose objects know each other by number; they get new numbers, and the trees that hold pages, tags and bookmarks
together get one root each. Meanwhile parts lie in a file, and only one of them is in memory when they are put together:
the tags of a thousand pages are hundreds of thousands of objects.
"""

from __future__ import annotations

import pickle
import re
import tempfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import IO, Any

import pydyf

# A reference, or a text that might hold something like one.
_REFERENCE = re.compile(rb"\((?:\\.|[^\\)])*\)|\b(\d+) 0 R\b", re.DOTALL)
_STREAM = b"\nstream\n"
_HEAD = b"%PDF-1.7\n%\xf0\x9f\x96\xa4\n"
_FIELDS = (1, 4, 3)
"""Bytes that say of an object what it is, and where: its place in the file, or its stream and its place therein."""


class File:
    """The bytes of a PDF whose objects are known by their bytes, up to those below `first`, which are added last."""

    def __init__(self, first: int) -> None:
        self.next = first
        self.data = bytearray(_HEAD)
        self._places = bytearray()

    def add(self, objects: list[tuple[int, bytes, bool]]) -> None:
        """Add objects, whose numbers are below the next one. What may be goes into one compressed stream."""
        numbers: list[bytes] = []
        small: list[bytes] = []
        offsets = 0
        holder = self.next
        self.next += 1
        for number, data, compressible in objects:
            if compressible:
                self._is_at(number, 2, holder, len(small))
                numbers.append(b"%d %d" % (number, offsets))
                small.append(data)
                offsets += len(data) + 1
            else:
                self._write(number, data)
        heads = b" ".join(numbers)
        about = {"Type": "/ObjStm", "N": len(small), "First": len(heads) + 1}
        self._write(holder, packed(b"\n".join([heads, *small]), about))

    def ended(self, catalog: int, info: int) -> bytes:
        """All of it, with where each object is."""
        number, at = self.next, len(self.data)
        self._is_at(number, 1, at, 0)
        about = {"Type": "/XRef", "Size": number + 1, "W": pydyf.Array(_FIELDS)}
        about |= {"Root": b"%d 0 R" % catalog, "Info": b"%d 0 R" % info}
        self._write(number, packed(bytes(self._places), about))
        self.data += b"startxref\n%d\n%%%%EOF\n" % at
        return bytes(self.data)

    def _write(self, number: int, data: bytes) -> None:
        self._is_at(number, 1, len(self.data), 0)
        self.data += b"%d 0 obj\n%b\nendobj\n" % (number, data)

    def _is_at(self, number: int, *fields: int) -> None:
        place = b"".join(field.to_bytes(size, "big") for field, size in zip(fields, _FIELDS, strict=True))
        begins, ends = number * len(place), (number + 1) * len(place)
        self._places.extend(bytes(max(ends - len(self._places), 0)))
        self._places[begins:ends] = place


@dataclass(frozen=True)
class PaintedPart:
    """What was painted of a document: all objects by their own numbers, and which of them are the roots."""

    objects: list[tuple[int, bytes, bool]]
    pages: list[int]
    metadata: bytes
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
        pdf.catalog["Metadata"],
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


class Parts:
    """Parts in their order, kept in a file."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self.count = 0

    def add(self, part: PaintedPart) -> None:
        pickle.dump(part, self._file)
        self.count += 1

    def __iter__(self) -> Iterator[PaintedPart]:
        self._file.seek(0)
        for _ in range(self.count):
            yield pickle.load(self._file)  # noqa: S301 - written above, into a file that has no name


@contextmanager
def parts_on_disk() -> Iterator[Parts]:
    with tempfile.TemporaryFile() as file:
        yield Parts(file)


def put_together(pdf: pydyf.PDF, parts: Parts, copies: int) -> bytes:
    """The PDF of these parts, one after another, so many times; `pdf` is the last, which was emptied by `painted`."""
    tree, root, by_page = pydyf.Dictionary(), pydyf.Dictionary(), pydyf.Dictionary()
    outlines = pydyf.Dictionary({"Count": 0})
    for made in (tree, root, by_page, outlines, pdf.info):
        pdf.add_object(made)
    tree |= {"Type": "/StructTreeRoot", "ParentTree": by_page.reference, "K": pydyf.Array([root.reference])}
    root |= {"Type": "/StructElem", "S": "/Document", "P": tree.reference, "K": pydyf.Array()}
    by_page["Nums"] = pydyf.Array()
    pdf.pages |= {"Kids": pydyf.Array(), "Count": 0}
    file = File(len(pdf.objects))
    last: tuple[int, bytes, bool] | None = None
    for part in (part for _ in range(copies) for part in parts):
        numbers = {number: at for at, (number, *_) in enumerate(part.objects, start=file.next)}
        file.next += len(numbers)
        numbers |= {pdf.pages.number: pdf.pages.number, part.tree: tree.number, part.root: root.number}
        numbers[part.outlines] = outlines.number
        renumber = renumbering(numbers)
        ends: dict[int, bytes] = {}
        for number, tags in zip(part.pages, part.tags_by_page, strict=True):
            ends[number] = b"/StructParents %d>>" % pdf.pages["Count"]
            by_page["Nums"] += [pdf.pages["Count"], renumber(tags)]
            pdf.pages["Kids"] += [numbers[number], 0, "R"]
            pdf.pages["Count"] += 1
        root["K"] += [renumber(tag) for tag in part.tags]
        objects = []
        first_bookmark, last_bookmark, count = part.bookmarks
        if part.outlines:
            if last:
                objects.append(_ending(last, b"/Next %d 0 R>>" % numbers[first_bookmark]))
                ends[first_bookmark] = b"/Prev %d 0 R>>" % last[0]
            else:
                outlines["First"] = b"%d 0 R" % numbers[first_bookmark]
            outlines["Count"] += count
        for number, data, compressible in part.objects:
            made = numbers[number], renumbered(data, compressible, renumber), compressible
            if number in ends:
                made = _ending(made, ends[number])
            if part.outlines and number == last_bookmark:
                last = made  # what comes after it is not known yet
            else:
                objects.append(made)
        file.add(objects)
        metadata = renumber(part.metadata)
    pdf.catalog |= {"StructTreeRoot": tree.reference, "Metadata": metadata}
    if last:
        outlines["Last"] = b"%d 0 R" % last[0]
        pdf.catalog["Outlines"] = outlines.reference
    roots = [(made.number, made.data, True) for made in pdf.objects[1:]]
    file.add([*roots, last] if last else roots)
    return file.ended(pdf.catalog.number, pdf.info.number)


def _ending(made: tuple[int, bytes, bool], end: bytes) -> tuple[int, bytes, bool]:
    """An object that ends with more."""
    number, data, compressible = made
    return number, data.removesuffix(b">>") + end, compressible


def packed(data: bytes, about: dict[str, Any]) -> bytes:
    """A stream, compressed as well as takes little time."""
    stream: bytes = pydyf.Stream([zlib.compress(data)], about | {"Filter": "/FlateDecode"}).data
    return stream


def reference(number: int) -> bytes:
    return b"%d 0 R" % number


def renumbered(data: bytes, compressible: bool, renumber: Callable[[bytes], bytes]) -> bytes:
    """An object whose references have other numbers; what is not compressible has a stream, which has none."""
    head, stream, rest = data.partition(_STREAM) if not compressible else (data, b"", b"")
    return renumber(head) + stream + rest


def renumbering(numbers: dict[int, int]) -> Callable[[bytes], bytes]:
    """Gives the references in the bytes of objects other numbers."""

    def changed(match: re.Match[bytes]) -> bytes:
        return b"%d 0 R" % numbers[int(match[1])] if match[1] else match[0]

    return lambda data: _REFERENCE.sub(changed, data)
