"""Whose a card is: a few bytes in a square code, signed with a secret of the contest.

The bytes, big-endian: kind and place 1, contest 2, year 1, class 2, number 4, signature 4. So many fit into the
smallest QR code with room to mend 15 % of it. The signature is what keeps a card of another contest or year out, and
what tells a code that was mended wrongly; 32 bits of it leave one such in four thousand million.
"""

from __future__ import annotations

import hmac
import struct
from typing import Final, Literal, NamedTuple

from contest.scanning.reader.found import Trouble

Kind = Literal["card", "rehearsal", "keep"]
KINDS: Final[tuple[Kind, ...]] = ("card", "rehearsal", "keep")
MOST_CONTEST, MOST_CLASS, MOST_NUMBER = 0xFFFF, 0xFFFF, 0xFFFF_FFFF
FIRST_YEAR: Final = 2000
_FORM: Final = struct.Struct(">BHBHI")
_SIGNED: Final = 4
_OURS: Final = 0x50
"""The upper half of the first byte: a code without it is none of ours. Its lowest bit is the place, the rest the
kind."""


class Identity(NamedTuple):
    """Whose card it is: a contest's key and the year it is held in (0 where no day is set), a class's number, and a
    contestant's; None on a spare that its number is marked on. Of a rehearsal `judged` is 0 and `number` counts the
    cards of the page; of a keep/cull card `judged` is its part's key."""

    contest: int
    year: int
    judged: int
    number: int | None
    kind: Kind = "card"


class Refused(NamedTuple):
    """A code that is not for this contest, and why: `other_contest` or `not_ours`."""

    why: Trouble


def can_be_written(identity: Identity) -> bool:
    """Does it fit into a code? One that does not is printed plain."""
    return (
        0 < identity.contest <= MOST_CONTEST
        and 0 <= identity.judged <= MOST_CLASS
        and (identity.number is None or 0 < identity.number <= MOST_NUMBER)
    )


def written(identity: Identity, secret: bytes, place: int = 0) -> bytes:
    """The bytes of a card's code, signed. `place`: 0 in the upper of its two codes, 1 in the lower one."""
    first = _OURS | KINDS.index(identity.kind) << 1 | place
    year = max(0, min(identity.year - FIRST_YEAR, 255))
    said = _FORM.pack(first, identity.contest, year, identity.judged, identity.number or 0)
    return said + _signature(said, secret)


def identify(code: bytes, secret: bytes) -> Identity | Refused:
    """Whose card a code is, by the secret of the contest that the cards are read for."""
    if len(code) != _FORM.size + _SIGNED or code[0] & 0xF0 != _OURS:
        return Refused(Trouble.NOT_OURS)
    said, signature = code[: _FORM.size], code[_FORM.size :]
    if not hmac.compare_digest(signature, _signature(said, secret)):
        return Refused(Trouble.OTHER_CONTEST)
    first, contest, year, judged, number = _FORM.unpack(said)
    kind = first >> 1 & 0x7
    if kind >= len(KINDS):
        return Refused(Trouble.NOT_OURS)
    return Identity(contest, year + FIRST_YEAR if year else 0, judged, number or None, KINDS[kind])


def place_of(code: bytes) -> int:
    """Which of a card's two codes this is: 0 the upper one, 1 the lower one. Of a code that is ours."""
    return code[0] & 1


def _signature(said: bytes, secret: bytes) -> bytes:
    return hmac.digest(secret, b"card " + said, "sha256")[:_SIGNED]
