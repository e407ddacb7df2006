"""The tag tree of a PDF, as somebody finds it who cannot see its pages."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import tinyhtml5
from pdfminer.pdftypes import resolve1


@dataclass
class Tag:
    """A tag with what is in it, in the order of reading: tags, and the text of pages."""

    kind: str
    alt: str = ""
    id: bytes = b""
    headers: tuple[bytes, ...] = ()
    span: tuple[int, int] = (1, 1)
    inside: list[Tag | str] = field(default_factory=list)

    def every(self, *kinds: str) -> Iterator[Tag]:
        """All tags of these kinds below this one, in the order of reading; a table's own, not those of one in it."""
        for kid in self.inside:
            if isinstance(kid, Tag):
                if kid.kind in kinds:
                    yield kid
                yield from kid.every(*kinds)

    @cached_property
    def text(self) -> str:
        """All text in it without what separates words, which each library sees somewhere else."""
        return "".join(kid if isinstance(kid, str) else kid.text for kid in self.inside)


def tag_tree(made: Any) -> Tag:
    """The tags of a `papers.Pdf`, under one that is the document."""

    def tag(element: dict[str, Any]) -> Tag:
        about = resolve1(element.get("A")) or {}
        found = Tag(
            element["S"].name,
            _words(element.get("Alt")),
            element.get("ID", b""),
            tuple(resolve1(about.get("Headers")) or ()),
            (about.get("ColSpan", 1), about.get("RowSpan", 1)),
        )
        for kid in resolve1(element["K"]):
            if isinstance(kid, int):
                found.inside.append(made.marked.get((element["Pg"].objid, kid), ""))
            elif resolve1(kid).get("S"):
                found.inside.append(tag(resolve1(kid)))
        return found

    (root,) = resolve1(resolve1(made.catalogue["StructTreeRoot"])["K"])
    return tag(resolve1(root))


def _words(value: bytes | None) -> str:
    if value is None:
        return ""
    return value.decode("utf-16") if value.startswith((b"\xfe\xff", b"\xff\xfe")) else value.decode("latin-1")


def problems(tree: Tag) -> list[str]:
    """What is wrong with the headings, tables, lists and pictures of a document."""
    return [*_of_headings(tree), *_of_tables(tree), *_of_lists(tree), *_of_pictures(tree)]


def unread(page: str, tree: Tag) -> list[str]:
    """Texts of the HTML that do not follow in the tree in the order in which they stand in the page."""
    found: list[str] = []
    at = 0
    for text in _texts(tinyhtml5.parse(page)):
        place = tree.text.find(text, at)
        if place < 0:
            found.append(text)
        else:
            at = place + len(text)
    return found


def _texts(element: Any) -> Iterator[str]:
    """What stands in a page, without spaces; its heads and feet are no part of what is read."""
    kinds = str(element.get("class") or "").split()
    kind = str(element.tag).rpartition("}")[2]
    if kind not in ("head", "title", "script", "style") and not {"head", "stamp"} & set(kinds):
        yield "".join((element.text or "").split()) if isinstance(element.tag, str) else ""
        for kid in element:
            yield from _texts(kid)
            yield "".join((kid.tail or "").split())


def _of_headings(tree: Tag) -> Iterator[str]:
    before = 0
    for heading in tree.every("H1", "H2", "H3", "H4", "H5", "H6"):
        level = int(heading.kind[1])
        if level > before + 1:
            yield f"{heading.kind} “{heading.text}” follows H{before}"
        if not heading.text:
            yield f"an empty {heading.kind}"
        before = level


def _of_tables(tree: Tag) -> Iterator[str]:
    for table in tree.every("Table"):
        rows = list(table.every("TR"))
        heads = {head.id: head for head in table.every("TH")}
        if not heads:
            yield f"a table without heads: {table.text[:60]}"
        yield from (f"an empty head in {table.text[:60]}" for head in heads.values() if not head.text)
        widths = {sum(cell.span[0] for cell in row.inside if isinstance(cell, Tag)) for row in rows}
        if len(widths) != 1:
            yield f"rows of {widths} cells: {table.text[:60]}"
        for cell in table.every("TD"):
            if not cell.headers or not set(cell.headers) <= set(heads):
                yield f"a cell without a head: {cell.text[:60]} in {table.text[:60]}"


def _of_lists(tree: Tag) -> Iterator[str]:
    for list_ in tree.every("L"):
        for item in list_.inside:
            if not isinstance(item, Tag) or item.kind not in ("LI", "Caption"):
                yield f"no item of a list: {list_.text[:60]}"
            elif not any(isinstance(kid, Tag) and kid.kind == "LBody" for kid in item.inside):
                yield f"an item without a body: {item.text[:60]}"


def _of_pictures(tree: Tag) -> Iterator[str]:
    yield from ("a picture without a word" for picture in tree.every("Figure") if not picture.alt.strip())
