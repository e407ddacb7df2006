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
from collections.abc import Callable, Iterator
from itertools import count, groupby, islice, zip_longest
from typing import Any, NamedTuple

from scoring.prints.drawn_once import DrawnOnce, draw_once
from scoring.prints.filling import Form, marked, retell, sheet_on

LEAST = 8
"""Of a kind of which there are fewer sheets, each is laid out as it stands."""
AT_ONCE = 50
"""As many sheets are filled in at once: it bounds the memory."""
ROWS = 250
"""As many different cells of a column are laid out at once; that too."""
_SHEET = re.compile(r"<section\b.*</section>", re.DOTALL)
_SLOT = re.compile(r"(<td\b[^>]*>).*?</td>|<(\w+)\b[^>]*?\sdata-fill>.*?</\2>", re.DOTALL)
_ROW_OR_FILL = re.compile(r"<tr>.*?</tr>|<(\w+)\b[^>]*?\sdata-fill>.*?</\1>", re.DOTALL)
_TAG = re.compile(r"<\w+")

LayOut = Callable[[str, int, int], Any]
"""Lays out HTML, whose pages come after so many, and say that there are so many in all."""
PageWords = Callable[[int, int], str]
"""How a page says which one it is, of how many."""


class Sheet(NamedTuple):
    """A sheet as it stands and, where it can be filled in, the form and what comes into its slots."""

    html: str
    form: Form | None
    cells: list[Any]


class Composition:
    """Sheets, some of which are filled in. `pages` is about how many pages they take: two for one that is too long."""

    def __init__(self, head: str, sheets: list[str], kinds: list[_Kind], lay_out: LayOut, words: PageWords) -> None:
        self._head, self._lay_out, self._words = head, lay_out, words
        laid_out = lay_out(head + "".join(kind.empty() for kind in kinds), 0, 0)
        self._nothing = laid_out.copy([])
        forms = [page._page_box for page in laid_out.pages]
        if len(forms) > len(kinds):  # one is too long even so
            forms, kinds = [], []
        cells: dict[int, Any] = {}
        pictures: dict[str, DrawnOnce] = {}
        for kind in kinds:
            for some in kind.every_cell():
                pages = [page._page_box for page in lay_out(head + some, 0, 0).pages]
                for page in pages:
                    draw_once(page, pictures)
                cells |= marked("data-cell", pages)
                gc.collect()
                gc.freeze()  # the cells stay: what looks for garbage later need not look through them
        filled: dict[int, tuple[Form, list[Any]]] = {}
        for number, (kind, page) in enumerate(zip(kinds, forms, strict=True), start=1):
            form = Form(page, words(number, 0))
            filled |= {at: (form, [cells[cell] for cell in inside]) for at, inside in kind.sheets.items()}
        self.sheets = []
        for at, sheet in enumerate(sheets):
            own, inside = filled.get(at, (None, []))
            self.sheets.append(Sheet(sheet, own if own and own.fits(inside) else None, inside))
        self.pages = sum(1 if sheet.form else 2 if sheet.cells else 1 for sheet in self.sheets)

    def parts(self) -> list[list[Sheet]]:
        """The sheets in parts that are made one after another."""
        return [self.sheets[at : at + AT_ONCE] for at in range(0, len(self.sheets), AT_ONCE)]

    def document(self, sheets: list[Sheet], before: int, pages: int) -> Any:
        """Some of the sheets as a document, after so many of all pages."""
        from weasyprint.document import Page

        plain = [sheet.html for sheet in sheets if not sheet.form]
        laid_out = self._lay_out(self._head + "".join(plain), 0, pages).pages if plain else []
        as_they_stand = groupby((page._page_box for page in laid_out), key=sheet_on)
        said = (self._words(number, pages) for number in count(1))
        made: list[Page] = []
        for sheet in sheets:
            boxes = [sheet.form.filled(sheet.cells)] if sheet.form else next(as_they_stand)[1]
            for box in boxes:
                was = sheet.form.words if sheet.form else next(said)
                retell(box, {was: self._words(before + len(made) + 1, pages)})
                made.append(Page(box))
        return self._nothing.copy(made)


def composition(head: str, sheets: list[str], lay_out: LayOut, words: PageWords) -> Composition | None:
    """Sheets that are filled in; none where their template does not say what is, or where few are alike. What comes
    again is laid out here. `head` is the HTML before the first sheet."""
    found = [match[0] for sheet in sheets if "data-fill" in sheet for match in [_SHEET.search(sheet)] if match]
    if len(found) < max(LEAST, len(sheets)):
        return None
    kinds: dict[str, _Kind] = {}
    numbers = count()
    for at, sheet in enumerate(found):
        key = _SLOT.sub(lambda match: f"{match[1]}</td>" if match[1] else f"<{match[2]} data-fill>", sheet)
        kinds.setdefault(key, _Kind(sheet)).add(at, sheet, numbers)
    often = [kind for kind in kinds.values() if len(kind.sheets) >= LEAST]
    return Composition(head, found, often, lay_out, words) if often else None


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
