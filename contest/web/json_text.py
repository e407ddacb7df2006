"""JSON that somebody sends, read in one place: everything after can hold it, or it is refused."""

from __future__ import annotations

import json
import re
from typing import Any

DEEPEST = 5
"""Lists and objects within one another; our own scripts nest three."""

_NUL = re.compile(r"(?<!\\)(?:\\\\)*\\u0000")  # as JSON writes it; a backslash that somebody typed is doubled


def parsed(text: str | bytes) -> Any:
    """What the JSON says. Raises ValueError where it is none, is no UTF-8, nests too deep, or holds a character
    that no database takes: NUL, and half a one (a lone surrogate)."""
    try:
        value = json.loads(text.decode() if isinstance(text, bytes) else text)
        is_deep = _nests_deeper(value, DEEPEST)
    except RecursionError:
        is_deep = True
    if is_deep:
        raise ValueError("it is nested too deep")
    written = json.dumps(value, ensure_ascii=False)
    written.encode()  # fails for half a character
    if _NUL.search(written):
        raise ValueError("it holds a NUL")
    return value


def _nests_deeper(value: Any, levels: int) -> bool:
    children = value.values() if isinstance(value, dict) else value if isinstance(value, list) else None
    return children is not None and (levels == 0 or any(_nests_deeper(child, levels - 1) for child in children))
