"""Sheets that hold the same cells in ever other mixtures, of which each different cell is laid out but once.

Packets of a thousand contestants have a hundred thousand cells, but few different ones: a placing, a score, the pairs
that were lost. So of each kind of sheet one is laid out with its cells empty, and on a page as long as it takes, every
different cell in its own column, where it looks as it does on a sheet. All sheets are then filled in from these
(`filling.py`). What a template marks with `data-fill` is filled in as a cell is. A sheet that does not fit on one page
is laid out as it stands, and so are those of which there are but a few.
"""

from __future__ import annotations

import gc
import re
import zlib
from collections.abc import Callable, Iterator
from itertools import count, groupby, islice, zip_longest
from typing import TYPE_CHECKING, Any, NamedTuple

from scoring.prints.drawn_once import DrawnOnce, draw_once
from scoring.prints.filling import Form, sheet_on
from scoring.prints.paging import Pages
from scoring.prints.painting import Painter
from scoring.prints.placing import Cell, marked, painted_cell

if TYPE_CHECKING:
    from scoring.prints.rendering import Prepared, Progress

LEAST = 8
"""Of a kind of which there are fewer sheets, each is laid out as it stands."""
AT_ONCE = 20
"""As many of those are laid out at once: it bounds the memory."""
ROWS = 250
"""As many different cells of a column are laid out at once; that too."""
_SHEET = re.compile(r"(<section\b.*</section>).*", re.DOTALL)
_SLOT = re.compile(r"(<td\b[^>]*>).*?</td>|<(\w+)\b[^>]*?\sdata-fill>.*?</\2>", re.DOTALL)
_ROW_OR_FILL = re.compile(r"<tr>.*?</tr>|<(\w+)\b[^>]*?\sdata-fill>.*?</\1>", re.DOTALL)
_TAG = re.compile(r"<\w+")

LayOut = Callable[[str], Any]
"""Lays out HTML, whose pages say that they are so many of 0."""
PageWords = Callable[[int, int], str]
"""How a page says which one it is, of how many."""


class Sheet(NamedTuple):
    """A sheet: its pages as they stand, or the one page that is filled in, and what comes into its slots."""

    forms: list[Form]
    cells: list[Cell]


class Composition:
    """Sheets, of which those of some `kinds` are filled in. All are compressed: few are laid out as they stand."""

    def __init__(self, head: str, sheets: list[bytes], kinds: list[_Kind], lay_out: LayOut, words: PageWords) -> None:
        self._head, self._sheets, self._kinds = head, sheets, kinds
        self._lay_out, self._words = lay_out, words

    def written(self, variant: str, copies: int, progress: Progress, prepared: Prepared) -> bytes:
        """The PDF of all sheets, so many times."""
        from weasyprint.document import Page

        document = self._lay_out(self._head + "".join(kind.empty() for kind in self._kinds))
        forms = [page._page_box for page in document.pages]
        pages = Pages()
        written = b""

        def paint(stream: Any, scale: float) -> None:
            painter = Painter(stream)
            made = self._made(painter, forms, prepared)
            count = sum(len(sheet.forms) for sheet in made)
            for sheet in made * copies:
                for form in sheet.forms:
                    pages.add(form, sheet.cells, self._words(pages.count % count + 1, count))
                    progress(min(pages.count, count), count if pages.count == count * copies else 0)

        def finish(_: Any, pdf: Any) -> None:
            nonlocal written
            written = pages.bound(pdf)

        shared = Page(forms[0].copy_with_children([]))
        shared.paint = paint
        document.copy([shared]).write_pdf(finisher=finish, pdf_variant=variant)
        return written

    def _made(self, painter: Painter, pages: list[Any], prepared: Prepared) -> list[Sheet]:
        """All sheets, painted. `pages` are those of each kind's empty sheet."""
        kinds = self._kinds if len(pages) == len(self._kinds) else []  # or one is too long even so
        batches = [batch for kind in kinds for batch in kind.every_cell()]
        pictures: dict[str, DrawnOnce] = {}
        cells: dict[int, Cell] = {}
        known: dict[Any, Any] = {}
        for done, batch in enumerate(batches):
            prepared(100 * done // len(batches))
            for page in self._pages(batch, pictures):
                boxes = marked("data-cell", [page])
                cells |= {number: painted_cell(painter, box, page, known) for number, box in boxes}
                del page, boxes
        made: dict[int, Sheet] = {}
        for number, (kind, page) in enumerate(zip(kinds, pages, strict=False), start=1):
            draw_once(page, pictures)
            form = Form(painter, page, self._words(number, 0))
            for at, numbers in kind.sheets.items():
                inside = [cells[cell] for cell in numbers]
                if form.fits(inside):
                    made[at] = Sheet([form], inside)
        prepared(100)
        plain = [at for at in range(len(self._sheets)) if at not in made]
        for some in (plain[at : at + AT_ONCE] for at in range(0, len(plain), AT_ONCE)):
            html = "".join(zlib.decompress(self._sheets[at]).decode() for at in some)
            laid_out = self._pages(html, pictures)
            by_sheet = groupby(enumerate(laid_out, start=1), key=lambda page: sheet_on(page[1]))
            for at, (_sheet, its_pages) in zip(some, by_sheet, strict=True):
                made[at] = Sheet([Form(painter, page, self._words(number, 0)) for number, page in its_pages], [])
        return [made[at] for at in range(len(self._sheets))]

    def _pages(self, html: str, pictures: dict[str, DrawnOnce]) -> Iterator[Any]:
        """The pages of some HTML, and nothing is kept of them."""
        for page in self._lay_out(self._head + html).pages:
            draw_once(page._page_box, pictures)
            yield page._page_box
        del page
        gc.collect()
        gc.freeze()  # what was painted stays: what looks for garbage later need not look through it


def composition(head: str, sheets: list[str], lay_out: LayOut, words: PageWords) -> Composition | None:
    """Sheets that are filled in; none where their template does not say what is, or where few are alike. What comes
    again is laid out here. `head` is the HTML before the first sheet."""
    if len(sheets) < LEAST or not all("data-fill" in sheet and _SHEET.search(sheet) for sheet in sheets):
        return None
    kinds: dict[str, _Kind] = {}
    numbers = count()
    for at, sheet in enumerate(sheets):
        sheet = _SHEET.sub(r"\1", sheet)  # behind the last one the document ends
        key = _SLOT.sub(lambda match: f"{match[1]}</td>" if match[1] else f"<{match[2]} data-fill>", sheet).strip()
        if key not in kinds:
            kinds[key] = _Kind(sheet)
        kinds[key].add(at, sheet, numbers)
    often = [kind for kind in kinds.values() if len(kind.sheets) >= LEAST]
    return (
        Composition(head, [zlib.compress(sheet.encode()) for sheet in sheets], often, lay_out, words) if often else None
    )


class _Kind:
    """Sheets that differ in nothing but what stands in their slots: by their places, the numbers of what stands there.
    The slots of a table's column are filled from the same cells."""

    def __init__(self, first: str) -> None:
        self.first = first
        self.sheets: dict[int, list[int]] = {}
        self.slots: list[dict[str, int]] = []
        columns: dict[tuple[Any, ...], dict[str, int]] = {}
        for match in _ROW_OR_FILL.finditer(first):
            place = match.start() if match[1] else first.count("<table", 0, match.start())
            row = tuple(found[1] for found in _SLOT.finditer(match[0]))
            self.slots += [columns.setdefault((place, row, column), {}) for column in range(len(row))]

    def add(self, at: int, sheet: str, numbers: Iterator[int]) -> None:
        self.sheets[at] = []
        for slot, match in zip(self.slots, _SLOT.finditer(sheet), strict=True):
            if match[0] not in slot:
                slot[match[0]] = next(numbers)
            self.sheets[at].append(slot[match[0]])

    def empty(self) -> str:
        """The first of them with empty cells, which therefore fits on a page."""
        slots = count()
        return _SLOT.sub(
            lambda match: _with("data-slot", next(slots), f"{match[1]}</td>" if match[1] else match[0]), self.first
        )

    def every_cell(self) -> Iterator[str]:
        """The first of them with each of its rows, and what else is filled in, as often as something stands there: some
        after others."""
        for at in range(0, max(map(len, self.slots)), ROWS):
            yield f'<div style="page: every-cell">{_ROW_OR_FILL.sub(self._some(at), self.first)}</div>'

    def _some(self, at: int) -> Callable[[re.Match[str]], str]:
        """What stands in a row, and what else is filled in, from the cell `at` on; once for all rows of a table."""
        slots = iter(self.slots)
        done: set[int] = set()

        def some(match: re.Match[str]) -> str:
            columns = [(f"{found[1]}</td>", next(slots)) for found in _SLOT.finditer(match[0])]
            if not columns:  # the row of a table's head
                return match[0]
            if id(columns[0][1]) in done:
                return ""
            done.add(id(columns[0][1]))
            made = [
                "".join(
                    _with("data-cell", cell[1], cell[0]) if cell else empty
                    for (empty, _), cell in zip(columns, row, strict=True)
                )
                for row in zip_longest(*(islice(column.items(), at, at + ROWS) for _, column in columns))
            ]
            return "".join(made if match[1] else (f"<tr>{row}</tr>" for row in made))

        return some


def _with(name: str, number: int, element: str) -> str:
    return _TAG.sub(lambda match: f'{match[0]} {name}="{number}"', element, count=1)
