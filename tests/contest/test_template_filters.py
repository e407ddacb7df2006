"""Filters of templates."""

from contest.templatetags.reasons import minus


def test_a_figure_below_zero_has_a_minus_sign():
    assert minus("-0,54") == "−0,54"
    assert minus("0.54") == "0.54"
