"""Pages of what was painted once, written one after another, with their tags and bookmarks, into one PDF.

Each page is written as soon as what lies on it is known, and nothing is kept of it but the numbers of its objects. What
all of them share, the fonts and pictures, is known last; so objects are numbered like this: those that hold everything
together and the resources of all pages, then page after page, and last what they share.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import pydyf
from weasyprint.anchors import make_page_bookmark_tree
from weasyprint.matrix import Matrix
from weasyprint.pdf.anchors import add_outlines

from scoring.prints.filling import Form
from scoring.prints.one_file import File, packed, painted, reference, renumbered, renumbering
from scoring.prints.painting import Mark, Tag
from scoring.prints.placing import Cell

PAGES, CATALOG, TREE, ROOT, BY_PAGE, OUTLINES, INFO, RESOURCES, FIRST = range(1, 10)
"""The numbers of objects, of which pydyf gives the first two, and the first one of a page."""
SCALE = 0.75
"""Points in a pixel."""
AT_ONCE = 20
"""As many pages are written into the file at once."""


class _At(NamedTuple):
    """Where something is on its page: its first text, and how much further down it stands than it was laid out."""

    first: int = 0
    down: float = 0


class Pages:
    """The pages of a PDF: add all of them, and have them `bound`."""

    def __init__(self) -> None:
        self.count = 0
        self._file = File(FIRST)
        self._objects: list[tuple[int, bytes, bool]] = []
        self._pages: list[int] = []
        self._tags: list[int] = []
        self._tags_by_page: list[bytes] = []
        self._outline = _Outline()

    def add(self, form: Form, cells: list[Cell], words: str) -> None:
        """A page that numbers itself in these words."""
        page, contents = self.number(), self.number()
        width, height = (SCALE * side for side in form.size)
        content = [b"1 0 0 -1 0 %f cm\nq\n%f 0 0 %f 0 0 cm" % (height, SCALE, SCALE)]
        content.append(form.canvas.numbered(0))
        texts = form.texts
        of_slots: dict[int, _At] = {}
        downs: dict[int, float] = {}
        marks: list[Mark] = []
        for one in form.filled(cells):
            first = 0
            if one.slot is None:
                downs |= dict.fromkeys(one.painted.texts, one.down)
            else:
                first = texts
                of_slots[one.slot] = _At(first, one.down)
                texts += len(one.painted.texts)
            content.append(_moved(one.painted.numbered(first), one.down))
            marks += [mark.moved(one.down) for mark in one.painted.marks]
        apart = []
        for painted_around, tags in form.around(cells, words):
            content.append(painted_around.numbered(texts))
            apart += [(tag, _At(texts)) for tag in tags]
            texts += len(painted_around.texts)
        content.append(b"Q")
        tagged = _Tagged(self, page, cells, of_slots, downs, texts)
        self._tags += [tagged.write(tag, ROOT, _At()) for tag in form.tags]
        for tag, at in apart:
            tagged.write(tag, ROOT, at)
        self._tags_by_page.append(_references(tagged.of_texts))
        self.write(contents, packed(b"\n".join(content), {}), compressible=False)
        edges = pydyf.Array([0, 0, width, height])
        about = {"Type": "/Page", "Parent": reference(PAGES), "MediaBox": edges, "Contents": reference(contents)}
        about |= {"Resources": reference(RESOURCES), "Tabs": "/S", "StructParents": self.count}
        self.write(page, pydyf.Dictionary(about | {"TrimBox": edges, "BleedBox": edges}).data)
        self._pages.append(page)
        self._outline.add(marks, self.count, height)
        self.count += 1
        if self.count % AT_ONCE == 0:
            self._put_down()

    def number(self) -> int:
        """The number of the next object."""
        self._file.next += 1
        return self._file.next - 1

    def write(self, number: int, data: bytes, compressible: bool = True) -> None:
        self._objects.append((number, data, compressible))

    def bound(self, pdf: pydyf.PDF) -> bytes:
        """The whole PDF. `pdf` is what WeasyPrint is about to write of a page that has all that these pages share."""
        (shared,) = (made for made in pdf.objects if made.number == pdf.pages["Kids"][0])
        resources = int(shared["Resources"].split()[0])
        dropped = {shared.number, int(shared["Contents"].split()[0])}
        part = painted(pdf)
        numbers = {PAGES: PAGES, CATALOG: CATALOG, resources: RESOURCES, part.tree: TREE, part.root: ROOT}
        for number, _, _ in part.objects:
            if number not in dropped:
                numbers.setdefault(number, self.number())
        renumber = renumbering(numbers)
        for number, data, compressible in part.objects:
            if number not in dropped:
                self.write(numbers[number], renumbered(data, compressible, renumber), compressible)
        outlines = self._outline.written(self, self._pages)
        self.write(TREE, _dictionary(Type="/StructTreeRoot", ParentTree=reference(BY_PAGE), K=_references([ROOT])))
        kids = _references(self._tags)
        self.write(ROOT, _dictionary(Type="/StructElem", S="/Document", P=reference(TREE), K=kids))
        by_page = b" ".join(b"%d %b" % (at, tags) for at, tags in enumerate(self._tags_by_page))
        self.write(BY_PAGE, _dictionary(Nums=b"[%b]" % by_page))
        self.write(INFO, pdf.info.data)
        self.write(PAGES, _dictionary(Type="/Pages", Kids=_references(self._pages), Count=self.count))
        pdf.catalog |= {"StructTreeRoot": reference(TREE), "Metadata": renumber(part.metadata)}
        pdf.catalog |= {"Outlines": reference(OUTLINES)} if outlines else {}
        self.write(CATALOG, pdf.catalog.data)
        self._put_down()
        return self._file.ended(CATALOG, INFO)

    def _put_down(self) -> None:
        self._file.add(self._objects)
        self._objects = []


class _Tagged:
    """Writes the tags of a page, and knows of each text of the page to which of them it belongs."""

    def __init__(
        self,
        pages: Pages,
        page: int,
        cells: list[Cell],
        of_slots: dict[int, _At],
        downs: dict[int, float],
        texts: int,
    ) -> None:
        self._pages, self._page = pages, page
        self._cells, self._of_slots, self._downs = cells, of_slots, downs
        self.of_texts = [0] * texts

    def write(self, tag: Tag, parent: int, at: _At, table: int = 0) -> int:
        """Write a tag and those in it. Its number."""
        number = self._pages.number()
        inside = tag.kids
        if tag.is_slot:
            (slot,) = tag.kids
            assert isinstance(slot, int)
            inside, at = self._cells[slot].tags, self._of_slots[slot]
        if tag.kind == b"/Table":
            table = number
        kids = []
        for kid in inside:
            if isinstance(kid, int):
                self.of_texts[at.first + kid] = number
                kids.append(b"%d" % (at.first + kid))
            else:
                kids.append(reference(self.write(kid, number, at, table)))
        about = tag.about[0] if len(tag.about) == 1 else (b"%d" % table).join(tag.about)
        if tag.picture:
            down = at.down or next((self._downs.get(kid, 0) for kid in inside if isinstance(kid, int)), 0)
            left, top, right, bottom = tag.picture
            about += b"/A <</O /Layout/BBox [%f %f %f %f]>>" % (left, top + down, right, bottom + down)
        data = b"<</Type /StructElem/S %b/K [%b]/Pg %d 0 R/P %d 0 R%b>>"
        self._pages.write(number, data % (tag.kind, b" ".join(kids), self._page, parent, about))
        return number


class _Marks(NamedTuple):
    """The bookmarks of a page, as WeasyPrint asks for them."""

    bookmarks: list[Mark]


class _Outline:
    """The bookmarks of all pages, as deep as their headings."""

    def __init__(self) -> None:
        self._marks: list[Any] = []
        self._skipped: list[int] = []
        self._by_depth: list[list[Any]] = [self._marks]
        self._level = 0

    def add(self, marks: list[Mark], page: int, height: float) -> None:
        matrix = Matrix(a=SCALE, d=-SCALE, f=height)
        self._level = make_page_bookmark_tree(_Marks(marks), self._skipped, self._by_depth, self._level, page, matrix)

    def written(self, pages: Pages, numbers: list[int]) -> bool:
        """Write them; whether there are any."""
        pdf = _Numbered(pages, numbers)
        add_outlines(pdf, self._marks)
        for made in pdf.made:
            pages.write(made.number, made.data)
        return bool(pdf.made)


class _Numbered:
    """What WeasyPrint asks of a PDF while it makes its outline, of which the last object is the outline itself."""

    def __init__(self, pages: Pages, numbers: list[int]) -> None:
        self._pages = pages
        self.page_references = [reference(number) for number in numbers]
        self.catalog: dict[str, Any] = {}
        self.made: list[Any] = []

    def add_object(self, made: Any) -> None:
        made.number = self._pages.number() if "Title" in made else OUTLINES
        self.made.append(made)


def _moved(content: bytes, down: float) -> bytes:
    return b"q\n1 0 0 1 0 %f cm\n%b\nQ" % (down, content) if down else content


def _references(numbers: list[int]) -> bytes:
    return b"[%b]" % b" ".join(map(reference, numbers))


def _dictionary(**values: Any) -> bytes:
    data: bytes = pydyf.Dictionary(values).data
    return data
