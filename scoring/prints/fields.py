"""The field of a card that a machine reads: its codes, and how they come onto paper.

A template says of a code `<p class="code upper" data-code="…"></p>`, its bytes in hex. Every card has its own, so
no code is laid out: they are drawn as bars where `contest/scanning/reader/layout.py` has them, as artifacts that no
screen reader stops at. A browser, which prints by itself, is given pictures.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple
from urllib.parse import quote

from contest.scanning.reader import layout
from contest.scanning.reader.codes import bars_of
from contest.scanning.reader.identity import Identity, can_be_written, written
from contest.scanning.reader.sheets import HALF, LARGE, WHOLE, Form, form_of
from scoring.core.questions import Questions
from scoring.core.record import JudgingClass, Part

FIELDS_AT = {
    "on-card": (8.0, 63.0),
    "below-digits": (8.0, 68.0),
    "on-test": (8.0, 11.0),
    "on-half": (10.0, 41.0),
    "on-whole": (10.0, 41.0),
    "on-large": (10.0, 97.0),
}
"""Where a field has its upper left corner, in millimetres of its piece of the sheet, by where it lies: a class of the
field, whose place `css/prints/fields.css` has too."""
SHEETS = {"on-half": HALF, "on-whole": WHOLE, "on-large": LARGE}
"""How the answer sheets are laid out whose fields lie there."""
_POINTS = 72 / 25.4  # in a millimetre
_CODE = re.compile(r'<p class="code (upper|lower)" data-code="([0-9a-f]+)"></p>\s*')
_LIES = re.compile(rf'class="field ({"|".join(FIELDS_AT)}) ')
_PLACES = ("upper", "lower")


class CardCodes(NamedTuple):
    """What codes of cards are made with: the contest's key and year, the secret that signs them, and of each part with
    cards or answer sheets its code and key."""

    contest: int
    year: int
    secret: bytes
    parts: tuple[tuple[str, int], ...] = ()

    def of(self, judged: JudgingClass, number: int | None) -> list[str]:
        """The two codes of a contestant's card, or of a spare's, in hex; empty where a card of this class is plain."""
        identity = Identity(self.contest, self.year, judged.number, number)
        if not layout.FEWEST <= len(judged.animals) <= layout.MOST or not can_be_written(identity):
            return []
        return self.written(identity)

    def of_part(self, part: Part, number: int) -> list[str]:
        """The same of a contestant's keep/cull card."""
        identity = Identity(self.contest, self.year, dict(self.parts).get(part.code, 0), number, "keep")
        has_field = layout.FEWEST_KEPT_FROM <= len(part.animals) <= layout.MOST_KEPT_FROM
        return self.written(identity) if identity.judged and has_field and can_be_written(identity) else []

    def of_sheet(self, part: Part, number: int | None, questions: Questions, large: bool = False) -> list[str]:
        """The same of a contestant's answer sheet, or of a spare one."""
        asked = len(questions.worth), len(questions.options)
        key, kind = dict(self.parts).get(part.code, 0), ("large-answers" if large else "answers")
        identity = Identity(self.contest, self.year, key, number, kind, *asked)  # type: ignore[arg-type]  # mypy's str
        return self.written(identity) if key and form_of(*asked, large) and can_be_written(identity) else []

    def written(self, identity: Identity) -> list[str]:
        """The two codes of a card, in hex."""
        return [written(identity, self.secret, place).hex() for place in range(len(_PLACES))]


class Code(NamedTuple):
    """A code where it lies on its card, in millimetres, and its bytes in hex."""

    left: float
    top: float
    code: str


def lies_on(form: Form) -> str:
    """Where the field of a sheet lies that is laid out so."""
    return next(lies for lies, one in SHEETS.items() if one is form)


def with_pictures(html: str) -> str:
    """The same, with its codes as pictures."""
    return _CODE.sub(lambda match: f'<p class="code {match[1]}"><img src="{_picture(match[2])}" alt=""></p>', html)


def without_codes(html: str) -> tuple[str, list[Code]]:
    """A piece without its codes, and those."""
    lies = _LIES.search(html)
    field = FIELDS_AT[lies[1]] if lies else (0.0, 0.0)
    of = SHEETS[lies[1]].field if lies and lies[1] in SHEETS else layout.CARD
    codes = []
    for match in _CODE.finditer(html):
        left, top = of.codes[_PLACES.index(match[1])]
        codes.append(Code(field[0] + left, field[1] + top, match[2]))
    return _CODE.sub("", html), codes


def painted_codes(codes: Iterable[Code]) -> bytes:
    """Codes as a PDF paints them, by points from the card's upper left corner down and to the right."""
    side = layout.CODE / layout.MODULES * _POINTS
    painting = [b"/Artifact BMC", b"q", b"0 g"]
    for left_mm, top_mm, code in codes:
        painting.append(b"q %f 0 0 %f %f %f cm" % (side, side, left_mm * _POINTS, top_mm * _POINTS))
        painting += [b"%d %d %d 1 re" % (column, row, wide) for column, row, wide in bars_of(bytes.fromhex(code))]
        painting.append(b"f Q")
    return b"\n".join([*painting, b"Q", b"EMC"])


def _picture(code: str) -> str:
    drawn = "".join(f"M{column} {row}h{wide}v1h-{wide}z" for column, row, wide in bars_of(bytes.fromhex(code)))
    size = layout.MODULES
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {size}"><path d="{drawn}"/></svg>'
    return f"data:image/svg+xml,{quote(svg)}"
