"""What each official gave, and what it is said to mean."""

from dataclasses import replace
from statistics import fmean, stdev

import pytest
from hypothesis import given, settings

from reasons.fairness import Heard, Shift, Unknown, beside_placings, figures, verdict
from tests.reasons.fairness.test_shifts import SCORES


@given(SCORES)
@settings(deadline=None, max_examples=60)
def test_figures_of_any_scores(heard):
    for one in beside_placings(figures(heard), heard, {number: 40.0 + number for number in range(1, 9)}):
        own = [score.points for score in heard if score.by == one.by]
        assert (one.sets, one.least, one.most) == (len(own), min(own), max(own))
        assert one.mean == pytest.approx(fmean(own))
        assert one.spread is None if len(own) == 1 else one.spread == pytest.approx(stdev(own))
        assert one.is_constant == (len(own) > 1 and len(set(own)) == 1)
        assert isinstance(one.shift, Unknown) or one.shift.low <= one.shift.points <= one.shift.high
        assert verdict(one).endswith(".")


def test_comparing_with_placings():
    heard = [
        Heard("A", 1, 1, 40),
        Heard("B", 1, 1, 44),
        Heard("A", 2, 1, 30),
        Heard("A", 3, 1, 20),
        Heard("B", 3, 1, 26),
    ]
    a, b = beside_placings(figures(heard), heard, {1: 50, 2: 40, 3: 30})
    assert (a.placing, b.placing) == (40, 40)
    assert a.agreement == pytest.approx(1)
    assert b.agreement is None  # two contestants always agree


def test_who_gave_everybody_alike_is_told_so_in_words():
    heard = [Heard("A", who, 1, 40) for who in range(9)] + [Heard("B", who, 1, 40 + who % 4) for who in range(9)]
    a, b = beside_placings(figures(heard), heard, {who: who for who in range(9)})
    assert a.agreement is None
    assert verdict(a).startswith("Gave each of 9 sets the same 40.0 points, and so told nobody apart. ")
    assert not verdict(b).startswith("Gave")


@pytest.mark.parametrize(
    ("shift", "begins"),
    [
        (Shift(-3.2, 0.5, -4.2, -2.2, 40), "Scores about 3.2 points lower than the others of the same classes"),
        (Shift(1.0, 0.2, 0.6, 1.4, 40), "Scores about 1.0 point higher"),
        (
            Shift(1.0, 0.2, 0.6, 1.4, 40),
            "Scores about 1.0 point higher than the others of the same classes, contestant for ",
        ),
        (
            Shift(4.0, 0.0, 4.0, 4.0, 40),
            "Scores 4.0 points higher than the others of the same classes, each contestant alike.",
        ),
        (Shift(0.1, 0.4, -0.7, 0.9, 40), "As the others: a shift, if any, is below 0.9 points"),
        (Shift(0.1, 2.0, -3.9, 4.1, 40), "No shift shows, but it may be anything from −3.9 to +4.1 points"),
        (Unknown.ALONE, "Nobody else heard the same classes"),
        (Unknown.APART, "Cannot be compared: no contestant ties"),
        (Unknown.TOO_FEW, "Too few sets yet"),
    ],
)
def test_the_words(shift, begins):
    (one,) = figures([Heard("A", 1, 1, 40)])
    words = verdict(replace(one, shift=shift, uneven=("Senior",)))
    assert words.startswith(begins)
    assert ("disadvantage" in words) == (isinstance(shift, Shift) and shift.high < 0)


def test_less_than_two_points_for_certain_is_too_little_to_act_on():
    (one,) = figures([Heard("A", 1, 1, 40)])
    assert "Too little to act on." in verdict(replace(one, shift=Shift(1.0, 0.2, 0.6, 1.4, 40), uneven=("Senior",)))
    assert "advantage" in verdict(replace(one, shift=Shift(1.2, 0.3, 0.4, 2.0, 40), uneven=("Senior",)))
