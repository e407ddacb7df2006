"""Minutes after midnight, as people write them."""

from __future__ import annotations

import re

_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)", re.ASCII)


def minute_of_day(text: str) -> int:
    """`09:20` in minutes after midnight. Raises ValueError, in words."""
    found = _CLOCK.fullmatch(text.strip())
    if not found:
        raise ValueError(f"{text!r} is no time of day; write it as 09:20")
    return 60 * int(found[1]) + int(found[2])


def clock_time(minute: int) -> str:
    """Minutes after midnight as `09:20`. After midnight the hours go on: `24:10`."""
    return f"{minute // 60:02}:{minute % 60:02}"
