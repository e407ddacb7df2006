"""Whose a card is: a few bytes in a square code, signed with a secret of the contest.

The bytes, big-endian: kind and place 1, contest 2, year 1, class 2, number 4, signature 4. So many fit into the
smallest QR code with room to mend 15 % of it. The signature is what keeps a card of another contest or year out, and
what tells a code that was mended wrongly; 32 bits of it leave one such in four thousand million. On an answer sheet
the four bytes of the number say in their first ten bits how many questions it has, and how many answers each offers:
where its boxes lie follows from that, whatever was changed since it was printed.
"""

from __future__ import annotations

import hmac
import struct
from typing import Final, Literal, NamedTuple

from contest.scanning.reader.found import Trouble

Kind = Literal["card", "rehearsal", "keep", "answers", "large-answers"]
KINDS: Final[tuple[Kind, ...]] = ("card", "rehearsal", "keep", "answers", "large-answers")
ANSWERS: Final = ("answers", "large-answers")
OF_A_PART: Final = ("keep", *ANSWERS)
MOST_CONTEST, MOST_CLASS, MOST_NUMBER = 0xFFFF, 0xFFFF, 0xFFFF_FFFF
FIRST_YEAR: Final = 2000
_FORM: Final = struct.Struct(">BHBHI")
_SIGNED: Final = 4
_NUMBER_BITS, _OPTION_BITS, _QUESTION_BITS = 22, 3, 7
"""Of an answer sheet: the number, how many answers there are less one, and how many questions."""
_OURS: Final = 0x50
"""The upper half of the first byte: a code without it is none of ours. Its lowest bit is the place, the rest the
kind."""


class Identity(NamedTuple):
    """Whose card it is: a contest's key and the year it is held in (0 where no day is set), a class's number, and a
    contestant's; None on a spare that its number is marked on. Of a rehearsal `judged` is 0 and `number` counts the
    cards of the page; of a keep/cull card and an answer sheet `judged` is its part's key. An answer sheet has so many
    `questions` with so many `options` each."""

    contest: int
    year: int
    judged: int
    number: int | None
    kind: Kind = "card"
    questions: int = 0
    options: int = 0


class Refused(NamedTuple):
    """A code that is not for this contest, and why: `other_contest` or `not_ours`."""

    why: Trouble


def can_be_written(identity: Identity) -> bool:
    """Does it fit into a code? One that does not is printed plain."""
    is_sheet = identity.kind in ANSWERS
    most = (1 << _NUMBER_BITS) - 1 if is_sheet else MOST_NUMBER
    return (
        0 < identity.contest <= MOST_CONTEST
        and 0 <= identity.judged <= MOST_CLASS
        and (identity.number is None or 0 < identity.number <= most)
        and (not is_sheet or 0 < identity.questions < 1 << _QUESTION_BITS)
        and (not is_sheet or 0 < identity.options <= 1 << _OPTION_BITS)
    )


def written(identity: Identity, secret: bytes, place: int = 0) -> bytes:
    """The bytes of a card's code, signed. `place`: 0 in the upper of its two codes, 1 in the lower one."""
    first = _OURS | KINDS.index(identity.kind) << 1 | place
    year = max(0, min(identity.year - FIRST_YEAR, 255))
    number = identity.number or 0
    if identity.kind in ANSWERS:
        number |= (identity.questions << _OPTION_BITS | identity.options - 1) << _NUMBER_BITS
    said = _FORM.pack(first, identity.contest, year, identity.judged, number)
    return said + _signature(said, secret)


def identify(code: bytes, secret: bytes) -> Identity | Refused:
    """Whose card a code is, by the secret of the contest that the cards are read for."""
    identity = claimed(code)
    if identity is None:
        return Refused(Trouble.NOT_OURS)
    said, signature = code[: _FORM.size], code[_FORM.size :]
    return identity if hmac.compare_digest(signature, _signature(said, secret)) else Refused(Trouble.OTHER_CONTEST)


def claimed(code: bytes) -> Identity | None:
    """What a code says, whoever signed it; None where it is none of ours."""
    if len(code) != _FORM.size + _SIGNED or code[0] & 0xF0 != _OURS:
        return None
    first, contest, year, judged, number = _FORM.unpack(code[: _FORM.size])
    if (at := first >> 1 & 0x7) >= len(KINDS):
        return None
    identity = Identity(contest, year + FIRST_YEAR if year else 0, judged, number or None, KINDS[at])
    if identity.kind not in ANSWERS:
        return identity
    asks, number = number >> _NUMBER_BITS, number & (1 << _NUMBER_BITS) - 1
    options = (asks & (1 << _OPTION_BITS) - 1) + 1
    return identity._replace(number=number or None, questions=asks >> _OPTION_BITS, options=options)


def place_of(code: bytes) -> int:
    """Which of a card's two codes this is: 0 the upper one, 1 the lower one. Of a code that is ours."""
    return code[0] & 1


def _signature(said: bytes, secret: bytes) -> bytes:
    return hmac.digest(secret, b"card " + said, "sha256")[:_SIGNED]
