"""How far a share that was counted may lie from the true one."""

from __future__ import annotations

import math
from collections.abc import Callable


def exact_interval(found: int, of: int, inside: float = 0.95) -> tuple[float, float]:
    """The interval of Clopper and Pearson (1934): no lower share would give so many, nor a higher one so few, more
    often than half of what is left outside. `of` must be positive."""
    tail = (1 - inside) / 2
    low = 0.0 if found == 0 else _where(lambda share: 1 - at_most(found - 1, of, share) < tail)
    high = 1.0 if found == of else _where(lambda share: at_most(found, of, share) > tail)
    return low, high


def _where(holds_below: Callable[[float], bool]) -> float:
    """The share up to which it holds."""
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if holds_below(middle) else (low, middle)
    return (low + high) / 2


def at_most(found: int, of: int, share: float) -> float:
    """The chance of so many or fewer, for a share between 0 and 1."""
    ratio = math.log(share) - math.log1p(-share)
    logs = [of * math.log1p(-share)]
    for count in range(1, found + 1):
        logs.append(logs[-1] + math.log((of - count + 1) / count) + ratio)
    most = max(logs)
    return min(1.0, math.exp(most) * math.fsum([math.exp(log - most) for log in logs]))
