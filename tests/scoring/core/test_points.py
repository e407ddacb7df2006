"""How points print: at most two decimals, rounded half-even, no trailing zeros."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.core.points import printed


@pytest.mark.parametrize(
    ("points", "text"),
    [
        (Fraction(412), "412"),
        (Fraction("412.5"), "412.5"),
        (Fraction(1237, 3), "412.33"),
        (Fraction("0.005"), "0"),  # half-even: to the even hundredth
        (Fraction("0.015"), "0.02"),
        (Fraction("0.025"), "0.02"),
        (Fraction("0.0250001"), "0.03"),
        (Fraction("-0.005"), "0"),
        (Fraction("-0.015"), "-0.02"),
        (Fraction("-4.5"), "-4.5"),
        (Fraction("99.999"), "100"),
        (Fraction("0.1"), "0.1"),
        (Fraction("10.10"), "10.1"),
        (0, "0"),
        (-4, "-4"),
        (400, "400"),
    ],
)
def test_points_print_as_the_format_says(points: Fraction | int, text: str) -> None:
    assert printed(points) == text


@given(st.integers(-10_000_000, 10_000_000))
def test_printing_rounds_as_decimal_arithmetic_does(thousandths: int) -> None:
    # Thousandths hold every half that rounding can meet; `decimal` is the independent judge of half-even.
    expected = (Decimal(thousandths) / 1000).quantize(Decimal("0.01"), ROUND_HALF_EVEN)
    text = printed(Fraction(thousandths, 1000))
    assert Decimal(text) == expected
    assert not ("." in text and text.endswith("0"))
    assert text != "-0"
