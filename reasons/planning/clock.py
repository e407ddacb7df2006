"""Minutes after midnight, as people write them."""

from __future__ import annotations

import re

from scoring.core.texts import gettext as _

DAY = 24 * 60
_CLOCK = re.compile(r"([0-3]?\d|4[0-7]):([0-5]\d)", re.ASCII)


def minute_of_day(text: str, after_midnight: bool = False) -> int:
    """`09:20` in minutes after midnight, and with `after_midnight` also `24:10`. Raises ValueError, in words."""
    match = _CLOCK.fullmatch(text.strip())
    minute = 60 * int(match[1]) + int(match[2]) if match else DAY
    if not match or (minute >= DAY and not after_midnight):
        raise ValueError(_("{text!r} is no time of day; write it as 09:20").format(text=text))
    return minute


def clock_time(minute: int) -> str:
    """Minutes after midnight as `09:20`. After midnight the hours go on: `24:10`."""
    return f"{minute // 60:02}:{minute % 60:02}"
