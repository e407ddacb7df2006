"""Minutes after midnight, as people write them."""

from __future__ import annotations

import re

DAY = 24 * 60
_CLOCK = re.compile(r"([0-3]?\d|4[0-7]):([0-5]\d)", re.ASCII)


def minute_of_day(text: str, after_midnight: bool = False) -> int:
    """`09:20` in minutes after midnight, and with `after_midnight` also `24:10`. Raises ValueError, in words."""
    found = _CLOCK.fullmatch(text.strip())
    minute = 60 * int(found[1]) + int(found[2]) if found else DAY
    if not found or (minute >= DAY and not after_midnight):
        raise ValueError(f"{text!r} is no time of day; write it as 09:20")
    return minute


def clock_time(minute: int) -> str:
    """Minutes after midnight as `09:20`. After midnight the hours go on: `24:10`."""
    return f"{minute // 60:02}:{minute % 60:02}"
