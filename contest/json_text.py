"""JSON that somebody sends, read in one place: whatever it is, everything after can hold it, or it is refused."""

from __future__ import annotations

import json
from typing import Any


def parsed(text: str | bytes) -> Any:
    """What the JSON says. Raises ValueError where it is none, is no UTF-8, nests too deep, holds a number that is none,
    or half a character (a lone surrogate), which no database takes."""
    try:
        found = json.loads(text.decode() if isinstance(text, bytes) else text, parse_constant=_refuse)
        json.dumps(found, ensure_ascii=False).encode()  # fails for half a character
    except RecursionError:
        raise ValueError("it is nested too deep") from None
    return found


def _refuse(constant: str) -> None:
    raise ValueError(f"{constant} is no number")
