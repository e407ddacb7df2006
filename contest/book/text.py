"""Text as people write it in files: decoding, and the small checks that every field of a book shares."""

from __future__ import annotations

import re
import unicodedata

from contest.book.problems import Problems
from scoring.core.texts import gettext as _

LONGEST_TEXT = 200
LONGEST_NAME = 60
"""Characters of a helper's name."""
LARGEST_NUMBER = 999_999_999

FORMULA = re.compile(r"[=+\-@\t\r]")
"""How a cell begins that a spreadsheet takes for a formula and works out."""

_WHOLE = re.compile(r"[0-9]{1,9}")
_POINTS = re.compile(r"([0-9]{1,7})(?:[.]([0-9]*))?")
_CODE = re.compile(r"\w[\w.-]{0,19}")


def decoded(data: bytes, file: str, problems: Problems) -> str | None:
    """The text of a file, without a byte-order mark; None where it is not UTF-8."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        problems.add(file, 0, _("it is saved as UTF-16; save it again as UTF-8 (in a spreadsheet: “CSV UTF-8”)"))
        return None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        reason = _("byte 0x{byte:02X} is not UTF-8; save the file again as UTF-8 (in a spreadsheet: “CSV UTF-8”)")
        problems.add(file, line, reason.format(byte=data[error.start]))
        return None


def why_not_text(text: str, called: str, most: int = LONGEST_TEXT, breaks: str = "") -> str:
    """What is wrong with a name or other short text, which is `called` so; empty if nothing is. Of control characters
    it may have those in `breaks`."""
    if len(text) > most:
        told = _("{what} has {count} characters; {most} is the most")
        return told.format(what=called, count=len(text), most=most)
    if any(unicodedata.category(one) in ("Cc", "Zl", "Zp", "Cs") and one not in breaks for one in text):
        return _("{what} has a line break or another control character in it").format(what=called)
    return ""


def why_not_code(text: str) -> str:
    """What is wrong with a short code, such as `SR`; empty if nothing is."""
    if _CODE.fullmatch(text):
        return ""
    return _("{text!r} is not a code: up to 20 letters, digits, dots and hyphens, without spaces").format(text=text)


def whole_number(text: str) -> int | None:
    return int(text) if _WHOLE.fullmatch(text) else None


def hundredths(text: str, decimal_comma: bool = False) -> int | str:
    """Points with at most two decimals as hundredths, or what is wrong with them, in words."""
    match = _POINTS.fullmatch(text.replace(",", ".") if decimal_comma else text)
    if not match:
        return _("{text!r} is not a number of points such as 44 or 44.5").format(text=text)
    whole, decimals = match[1], match[2] or ""
    if len(decimals) > 2:
        return _("{number} has more than two decimals").format(number=text)
    return int(whole) * 100 + int(decimals.ljust(2, "0"))


def as_text(name: str) -> str:
    """Text that a spreadsheet does not work out, whatever it begins with."""
    return f"'{name}" if FORMULA.match(name) else name
