"""Points as exact fractions; how files have them, and how people read them."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from scoring.core.record import HUNDREDTHS
from scoring.core.texts import decimal_mark

THIN_SPACE = "\u202f"  # which no line breaks at


def written(points: Fraction | int) -> str:
    """Points as files have them: as many decimals as needed, at most two, rounded half-even: `412`, `-412.5`."""
    hundredths, rest = divmod(100 * points.numerator, points.denominator)  # half-even, as `round` does
    hundredths += 2 * rest > points.denominator or (2 * rest == points.denominator and hundredths % 2)
    sign = "-" if hundredths < 0 else ""
    whole, rest = divmod(abs(hundredths), 100)
    return f"{sign}{whole}.{rest:02}".rstrip("0").rstrip(".") if rest else f"{sign}{whole}"


def written_hundredths(hundredths: int) -> str:
    """Whole hundredths of a point as `written` writes points: `43.5` of 4350."""
    return written(Fraction(hundredths, HUNDREDTHS))


def figure(points: Fraction | int) -> str:
    """Points as people read them, with a minus sign and the decimal mark of their language: `−412.5`, `−412,5`."""
    return as_figure(written(points))


def figure_of_hundredths(hundredths: int) -> str:
    return as_figure(written_hundredths(hundredths))


def as_figure(number: str) -> str:
    """A number as Python writes it, such as `-0.5`, for people to read."""
    number = number.replace("-", "−")
    return number.replace(".", decimal_mark()) if "." in number else number


def in_thousands(number: int) -> str:
    """A whole number as sentences have it: `1,559`; with a space where the comma is the decimal mark."""
    text = f"{number:,}"
    return text if decimal_mark() == "." else text.replace(",", THIN_SPACE)


@lru_cache(maxsize=4)
def fractions_of(scale: int) -> FractionsOf:
    """The fractions of a scale, kept: the next tally of a contest needs nearly the same ones."""
    return FractionsOf(scale)


class FractionsOf(dict[int, Fraction]):
    """Whole numbers of 1/`scale` points as fractions, each made once: a contest's scores repeat a great deal."""

    def __init__(self, scale: int) -> None:
        self._scale = scale

    def __missing__(self, units: int) -> Fraction:
        made = self[units] = Fraction(units, self._scale)
        return made
