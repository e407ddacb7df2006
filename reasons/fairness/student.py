"""Student's t, for whole degrees of freedom."""

from __future__ import annotations

import math


def t_inside(freedom: int, far: float) -> float:
    """How much of it lies between minus `far` and `far` (Abramowitz and Stegun, 26.7.3 and 26.7.4)."""
    angle = math.atan(far / math.sqrt(freedom))
    square = math.cos(angle) ** 2
    odd = freedom % 2
    term = total = math.cos(angle) if odd else 1.0
    for power in range(2 + odd, freedom - 1, 2):
        term *= square * (power - 1) / power
        total += term
    if not odd:
        return math.sin(angle) * total
    return 2 / math.pi * (angle + (math.sin(angle) * total if freedom > 1 else 0.0))


def t_quantile(freedom: int, inside: float = 0.95) -> float:
    """Between minus this and this lies so much of it."""
    low, high = 0.0, 1.0
    while t_inside(freedom, high) < inside:
        low, high = high, 2 * high
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if t_inside(freedom, middle) < inside else (low, middle)
    return (low + high) / 2
