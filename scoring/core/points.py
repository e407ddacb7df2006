"""Points as exact fractions, and the one way they are printed."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from scoring.core.record import HUNDREDTHS


def printed(points: Fraction | int) -> str:
    """Points with as many decimals as needed, at most two, rounded half-even, no trailing zeros: `412`, `412.5`."""
    hundredths, rest = divmod(100 * points.numerator, points.denominator)  # half-even, as `round` does
    hundredths += 2 * rest > points.denominator or (2 * rest == points.denominator and hundredths % 2)
    sign = "-" if hundredths < 0 else ""
    whole, rest = divmod(abs(hundredths), 100)
    return f"{sign}{whole}.{rest:02}".rstrip("0").rstrip(".") if rest else f"{sign}{whole}"


def printed_hundredths(hundredths: int) -> str:
    """Whole hundredths of a point as `printed` writes points: `43.5` of 4350."""
    return printed(Fraction(hundredths, HUNDREDTHS))


@lru_cache(maxsize=4)
def fractions_of(scale: int) -> FractionsOf:
    """The fractions of a scale, kept: the next tally of a contest needs nearly the same ones."""
    return FractionsOf(scale)


class FractionsOf(dict[int, Fraction]):
    """Whole numbers of 1/`scale` points as fractions, each made once: a contest's scores repeat a great deal."""

    def __init__(self, scale: int) -> None:
        super().__init__()
        self._scale = scale

    def __missing__(self, units: int) -> Fraction:
        made = self[units] = Fraction(units, self._scale)
        return made
