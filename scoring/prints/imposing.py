"""Sheets that are cut, of which each different piece is laid out but once.

A thousand cards differ in a few words each. So a template says of a piece (`<article class="piece … at-2">`) which
elements are its own, by `data-own`: they lie at places of their own, whatever else the piece holds. Without them most
pieces are the same, and many of them are too. Each is laid out once, all on top of each other on one page, beside one
empty sheet. What was painted of them is put onto the sheets here, with its tags, as a printer imposes pages on a sheet.
In a painted page `q` and `Q` enclose what belongs together, and an MCID ties a text to its tag.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import groupby
from typing import Any, NamedTuple

import pydyf

from scoring.prints.fields import Code, painted_codes, without_codes
from scoring.prints.one_file import PaintedPart, packed, painted, reference

AT_ONCE = 500
"""As many sheets are made at once: it bounds the memory."""
BLANK = b"/BlockQuote"
"""The tag of what stands for an element of one's own meanwhile; no template of ours has a quotation."""
_STANDS_FOR = '<blockquote style="position: absolute"></blockquote>'
_SHEET = re.compile(r"(<section[^>]*>)(.*)</section>", re.DOTALL)
_PIECE = re.compile(r'<article class="(piece [^"]*) at-(\d)">(.*?)</article>', re.DOTALL)
_OWN = re.compile(r"<(\w+)([^>]*?)\s+data-own>.*?</\1>", re.DOTALL)
_SIGN = re.compile(rb"^(?:(q)|(Q)|<</MCID \d+>>)$", re.MULTILINE)
_MCID = re.compile(rb"(?<=<</MCID )\d+(?=>>)")
_SCALE = 0.75  # points in a pixel


class Placed(NamedTuple):
    """What lies at a place of a sheet: which pieces, the face first, and the codes that are drawn on them."""

    place: str
    pieces: list[int]
    codes: list[Code]


@dataclass(frozen=True)
class Imposition:
    """Some sheets: what is laid out of them, and what lies on each."""

    html: str
    sheets: list[list[Placed]]


def impositions(head: str, sheets: list[str]) -> list[Imposition]:
    """How all sheets are made of pieces; empty where their template does not say what is a piece's own."""
    found = [_SHEET.search(sheet) for sheet in sheets if "data-own" in sheet]
    matches = [match for match in found if match]
    if len(matches) < len(sheets):
        return []
    made = []
    for (empty, opened), alike in groupby(matches, _without_pieces):
        insides = [match[2] for match in alike]
        made += [_imposition(head, opened, empty, insides[at : at + AT_ONCE]) for at in range(0, len(insides), AT_ONCE)]
    return made


def _without_pieces(sheet: re.Match[str]) -> tuple[str, str]:
    """What an empty sheet is like, and how it begins. Where the last has no piece, its template leaves other spaces."""
    return " ".join((sheet[1] + _PIECE.sub("", sheet[2])).split()), sheet[1]


def _imposition(head: str, opened: str, empty: str, sheets: list[str]) -> Imposition:
    numbers: dict[str, int] = {}
    placed: list[list[Placed]] = []
    for sheet in sheets:
        placed.append([])
        for kind, place, whole in _PIECE.findall(sheet):
            inside, codes = without_codes(whole)
            parts = [_OWN.sub(_STANDS_FOR, inside), *(own[0] for own in _OWN.finditer(inside))]
            pieces = [f'<article class="{kind} at-1">{part}</article>' for part in parts]
            known = [numbers.setdefault(piece, len(numbers)) for piece in pieces]
            placed[-1].append(Placed(place, known, codes))
    places = "".join(
        f'<article class="piece at-{place}" id="at-{place}"></article>'
        for place in sorted({one.place for sheet in placed for one in sheet})
    )
    return Imposition(f"{head}{empty}{places}</section>{opened}{''.join(numbers)}</section>", placed)


class _Tag(NamedTuple):
    """A tag and what it holds: other tags, and texts, which are counted within their piece."""

    kind: bytes
    kids: list[_Tag | int]


class _Piece(NamedTuple):
    """What was painted of a piece, split where each text has its MCID, and its tag."""

    content: list[bytes]
    tag: _Tag

    def numbered(self, first: int) -> bytes:
        """With MCIDs from the `first` one on."""
        texts = (b"%d" % (first + text) + after for text, after in enumerate(self.content[1:]))
        return b"".join([self.content[0], *texts])


def imposed(pdf: pydyf.PDF, document: Any, imposition: Imposition) -> PaintedPart:
    """The sheets, made of what WeasyPrint is about to write of a `document` that is the imposition's HTML."""
    by_number = {made.number: made for made in pdf.objects}
    page, other = (by_number[number] for number in pdf.pages["Kids"][::3])
    empty, content = (_uncompressed(by_number[_number(one["Contents"])]) for one in (page, other))
    root = by_number[_number(by_number[_number(pdf.catalog["StructTreeRoot"])]["K"][0])]
    of_page, of_pieces = (by_number[_number(kid)] for kid in root["K"])
    pieces = [
        _Piece(_MCID.split(painting), _tag(by_number, kid))
        for painting, kid in zip(_paintings(content), of_pieces["K"], strict=True)
    ]
    places = {name.removeprefix("at-"): at[:2] for name, at in document.pages[0].anchors.items()}
    dropped = {page.number, other.number, *(_number(one["Contents"]) for one in (page, other))}
    dropped |= {number for kid in (of_page, of_pieces) for number in _tags_below(by_number, kid)}
    plain = {name: value for name, value in page.items() if name not in ("Contents", "StructParents")}
    part = painted(pdf)
    made = _Made(max(by_number) + 1, root.number, empty, plain)
    for sheet in imposition.sheets:
        made.add([(places[one.place], [pieces[number] for number in one.pieces], one.codes) for one in sheet])
    return replace(
        part,
        objects=[one for one in part.objects if one[0] not in dropped] + made.objects,
        pages=made.pages,
        tags=made.tags,
        tags_by_page=made.tags_by_page,
    )


@dataclass
class _Made:
    """Sheets as objects of a PDF, the next of which gets the number `next`."""

    next: int
    root: int
    empty: bytes
    page: dict[str, Any]
    objects: list[tuple[int, bytes, bool]] = field(default_factory=list)
    pages: list[int] = field(default_factory=list)
    tags: list[bytes] = field(default_factory=list)
    tags_by_page: list[bytes] = field(default_factory=list)

    def add(self, placed: list[tuple[tuple[float, float], list[_Piece], list[Code]]]) -> None:
        page, contents, sheet = self._number(), self._number(), self._number()
        painting = [self.empty]
        articles: list[int] = []
        of_texts: list[int] = []
        for (right, down), pieces, codes in placed:
            whole = []
            painting.append(b"q\n%.2f 0 0 %.2f %f %f cm" % (_SCALE, _SCALE, right * _SCALE, down * _SCALE))
            for piece in pieces:
                painting.append(piece.numbered(len(of_texts)))
                whole.append((piece.tag, len(of_texts)))
                of_texts += [0] * (len(piece.content) - 1)
            painting.append(b"Q")
            if codes:
                painting.append(b"q\n1 0 0 1 %f %f cm" % (right * _SCALE, down * _SCALE))
                painting.append(painted_codes(codes) + b"\nQ")
            (face, first), *owned = whole
            articles.append(self._tagged(face, first, sheet, page, of_texts, iter(owned)))
        self.objects.append((contents, packed(b"\n".join(painting), {}), False))
        described = pydyf.Dictionary(self.page | {"Contents": reference(contents)})
        self.objects.append((page, described.data, True))
        self._keep(sheet, b"/Sect", map(reference, articles), page, self.root)
        self.pages.append(page)
        self.tags.append(reference(sheet))
        self.tags_by_page.append(b"[%b]" % b" ".join(map(reference, of_texts)))

    def _tagged(
        self, tag: _Tag, first: int, parent: int, page: int, of_texts: list[int], owned: Iterator[tuple[_Tag, int]]
    ) -> int:
        """Make a tag, whose texts are those from the `first` one on, and all within. Its number."""
        if tag.kind == BLANK:
            article, first = next(owned)
            (own,) = article.kids
            assert isinstance(own, _Tag)
            tag = own
        number = self._number()
        kids = []
        for kid in tag.kids:
            if isinstance(kid, int):
                of_texts[first + kid] = number
                kids.append(b"%d" % (first + kid))
            else:
                kids.append(reference(self._tagged(kid, first, number, page, of_texts, owned)))
        self._keep(number, tag.kind, kids, page, parent)
        return number

    def _keep(self, number: int, kind: bytes, kids: Any, page: int, parent: int) -> None:
        data = b"<</Type /StructElem/S %b/K [%b]/Pg %d 0 R/P %d 0 R>>" % (kind, b" ".join(kids), page, parent)
        self.objects.append((number, data, True))

    def _number(self) -> int:
        self.next += 1
        return self.next - 1


def _paintings(content: bytes) -> Iterator[bytes]:
    """What was painted of each piece: what lies between two of them is enclosed by no more than what encloses all."""
    signs = list(_SIGN.finditer(content))
    depths, depth = [], 0
    for sign in signs:
        depth += bool(sign[1]) - bool(sign[2])
        depths.append(depth)
    texts = [at for at, sign in enumerate(signs) if not sign[1] and not sign[2]]
    around = min(depths[texts[0] : texts[-1]])
    begins, has_text = 0, False
    for sign, depth in zip(signs, depths, strict=True):
        if sign[1] and depth == around + 1:
            begins, has_text = sign.start(), False
        elif sign[2] and depth == around and has_text:
            yield content[begins : sign.end()]
            has_text = False
        elif not sign[1] and not sign[2]:
            has_text = True


def _tag(by_number: dict[int, Any], reference: bytes) -> _Tag:
    """The tag of a piece, whose texts are counted from its first one on."""
    first = min(_texts_below(by_number, reference))

    def counted(reference: bytes) -> _Tag:
        element = by_number[_number(reference)]
        kids = [kid - first if isinstance(kid, int) else counted(kid) for kid in element["K"]]
        return _Tag(element["S"].encode(), kids)

    return counted(reference)


def _texts_below(by_number: dict[int, Any], reference: bytes) -> Iterator[int]:
    for kid in by_number[_number(reference)]["K"]:
        yield from [kid] if isinstance(kid, int) else _texts_below(by_number, kid)


def _tags_below(by_number: dict[int, Any], element: Any) -> Iterator[int]:
    yield element.number
    for kid in element["K"]:
        if not isinstance(kid, int):
            yield from _tags_below(by_number, by_number[_number(kid)])


def _uncompressed(stream: pydyf.Stream) -> bytes:
    stream.compress = False
    data: bytes = stream.data
    return data.partition(b"\nstream\n")[2].removesuffix(b"\nendstream")


def _number(reference: bytes) -> int:
    return int(reference.split()[0])
