"""How points are written: at most two decimals, rounded half-even, no trailing zeros; and how people read them."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.core import texts
from scoring.core.points import as_figure, figure, figure_of_hundredths, in_thousands, written


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
def test_points_are_written_as_the_format_says(points: Fraction | int, text: str) -> None:
    assert written(points) == text


@given(st.integers(-10_000_000, 10_000_000))
def test_writing_rounds_as_decimal_arithmetic_does(thousandths: int) -> None:
    # Thousandths hold every half that rounding can meet; `decimal` is the independent judge of half-even.
    expected = (Decimal(thousandths) / 1000).quantize(Decimal("0.01"), ROUND_HALF_EVEN)
    text = written(Fraction(thousandths, 1000))
    assert Decimal(text) == expected
    assert not ("." in text and text.endswith("0"))
    assert text != "-0"


def test_people_read_a_minus_sign_and_no_point_where_none_is() -> None:
    assert [figure(Fraction("-4.5")), figure(-4), figure(412)] == ["−4.5", "−4", "412"]
    assert [figure_of_hundredths(4350), as_figure("+1.6"), in_thousands(1559)] == ["43.5", "+1.6", "1,559"]


def test_people_read_the_decimal_mark_of_their_language_and_files_do_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(texts, "_decimal_mark", lambda: ",")
    assert [figure(Fraction("-1234.5")), figure_of_hundredths(4350), as_figure("-0.5")] == ["−1234,5", "43,5", "−0,5"]
    assert in_thousands(1559) == "1\u202f559"
    assert written(Fraction("-4.5")) == "-4.5"
