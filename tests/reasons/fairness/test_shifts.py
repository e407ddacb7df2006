"""Fairness figures, against least squares on the whole design and against simulated contests with a known shift."""

from statistics import fmean, stdev

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from reasons.fairness import Heard, Shift, figures, shifts, t_quantile, verdict

SCORES = st.lists(
    st.builds(Heard, st.sampled_from("ABCD"), st.integers(1, 12), st.integers(0, 100).map(lambda half: half / 2)),
    min_size=1,
    max_size=60,
)


def ordinary_least_squares(heard):
    """Each official's shift against the mean of the others, with its standard error, by the full design matrix."""
    officials, numbers = sorted({one.by for one in heard}), sorted({one.number for one in heard})
    design = np.zeros((len(heard), len(officials) + len(numbers)))
    for row, one in enumerate(heard):
        design[row, officials.index(one.by)] = 1
        design[row, len(officials) + numbers.index(one.number)] = 1
    points = np.array([one.points for one in heard])
    solution, *_ = np.linalg.lstsq(design, points, rcond=None)
    freedom = len(heard) - np.linalg.matrix_rank(design)
    variance = ((points - design @ solution) ** 2).sum() / freedom
    covariance = variance * np.linalg.pinv(design.T @ design)
    found = {}
    for here, by in enumerate(officials):
        contrast = np.zeros(design.shape[1])
        contrast[: len(officials)] = -1 / (len(officials) - 1)
        contrast[here] = 1
        error = np.sqrt(contrast @ covariance @ contrast)
        found[by] = contrast @ solution, error, stats.t.ppf(0.975, freedom) * error
    return found


def simulated(random, shift, people=24, sets=4, officials="ABCDEF", noise=2.5, given_by=1):
    """Contestants of different levels, heard by officials drawn for each set; official A gives so much more."""
    heard = []
    for number, level in enumerate(random.normal(40, 4, people), start=101):
        for _ in range(sets):
            for by in random.choice(list(officials), size=given_by, replace=False):
                heard.append(Heard(str(by), number, level + (shift if by == "A" else 0) + random.normal(0, noise)))
    return heard


@pytest.mark.parametrize("seed", range(8))
def test_shifts_are_those_of_least_squares_on_the_whole_design(seed):
    heard = simulated(np.random.default_rng(seed), shift=3, people=8 + seed)
    expected = ordinary_least_squares(heard)
    for by, shift in shifts(heard).items():
        points, error, half = expected[by]
        assert shift.points == pytest.approx(points, abs=1e-9)
        assert shift.error == pytest.approx(error, abs=1e-9)
        assert shift.high - shift.points == pytest.approx(half, rel=1e-3)


@pytest.mark.parametrize("given_by", [1, 2])
def test_the_interval_holds_a_planted_shift_95_times_in_100(given_by):
    rounds, random = 600, np.random.default_rng(20261125)
    held = 0
    for _ in range(rounds):
        shift = shifts(simulated(random, shift=-2.0, sets=4 // given_by, given_by=given_by))["A"]
        held += shift.low <= -2.0 <= shift.high
    low, high = stats.binom.ppf([0.001, 0.999], rounds, 0.95)
    assert low <= held <= high


def test_the_interval_keeps_its_rate_with_whole_points_between_0_and_50():
    rounds, random = 400, np.random.default_rng(1)
    held = 0
    for _ in range(rounds):
        heard = simulated(random, shift=3.0, people=40, sets=3)
        heard = [one._replace(points=float(np.clip(round(one.points), 0, 50))) for one in heard]
        shift = shifts(heard)["A"]
        held += shift.low <= 3.0 <= shift.high
    low, high = stats.binom.ppf([0.001, 0.999], rounds, 0.95)
    assert low <= held <= high


def test_a_large_planted_shift_is_seen_and_no_other():
    found = shifts(simulated(np.random.default_rng(5), shift=-6.0, people=60))
    assert {by for by, shift in found.items() if shift.is_seen and shift.points < -4} == {"A"}


def test_the_worked_example():
    found = shifts([Heard("A", 101, 40), Heard("B", 101, 44), Heard("A", 102, 35), Heard("B", 102, 37)])
    assert found["A"].points == pytest.approx(-3)
    assert found["B"].points == pytest.approx(3)
    assert found["A"].error == pytest.approx(1)
    assert found["A"].high - found["A"].points == pytest.approx(12.706, abs=1e-3)


def test_nobody_in_common_cannot_be_compared():
    found = figures([Heard("A", 1, 40), Heard("A", 2, 30), Heard("B", 3, 20), Heard("B", 4, 30)])
    assert [one.shift for one in found] == [None, None]
    assert verdict(found[0]).startswith("Cannot be compared")


def test_groups_of_officials_with_nothing_in_common_are_compared_each_by_itself():
    random = np.random.default_rng(1)
    one, other = simulated(random, 0, officials="AB"), simulated(random, 0, officials="CD")
    apart = [*one, *(score._replace(number=score.number + 500) for score in other)]
    assert shifts(apart) == {**shifts(one), **shifts(other)}


@given(SCORES)
@settings(deadline=None)
def test_figures_of_any_scores(heard):
    for one in figures(heard, {number: 40.0 + number for number in range(1, 9)}):
        own = [score.points for score in heard if score.by == one.by]
        assert (one.sets, one.least, one.most, one.range) == (len(own), min(own), max(own), max(own) - min(own))
        assert one.mean == pytest.approx(fmean(own))
        assert one.spread is None if len(own) == 1 else one.spread == pytest.approx(stdev(own))
        assert one.shift is None or one.shift.low <= one.shift.points <= one.shift.high
        assert verdict(one).endswith(".")


@given(SCORES, st.integers(-10, 10))
@settings(deadline=None)
def test_a_shift_moves_with_the_scores(heard, more):
    moved = [one._replace(points=one.points + more) if one.by == "A" else one for one in heard]
    before, after = shifts(heard), shifts(moved)
    for by, shift in before.items():
        if shift is None:
            assert after[by] is None
        elif by == "A":
            assert after[by].points == pytest.approx(shift.points + more, abs=1e-8)
            assert after[by].error == pytest.approx(shift.error, abs=1e-8)


def test_a_shift_favours_nobody_where_everybody_was_heard_by_the_same():
    random = np.random.default_rng(7)
    heard = [
        Heard(by, number, 40 + shift + random.normal(0, 1))
        for number in range(20)
        for by, shift in (("A", 0), ("B", 5), ("B", 5))
    ]
    for one in figures(heard):
        assert one.shift.is_seen
        assert "it favours nobody" in verdict(one)
    a, b = figures(heard[1:])
    assert "has a disadvantage" in verdict(a)
    assert "has an advantage" in verdict(b)


def test_comparing_with_others_and_with_placings():
    heard = [Heard("A", 1, 40), Heard("B", 1, 44), Heard("A", 2, 30), Heard("A", 3, 20), Heard("B", 3, 26)]
    a, b = figures(heard, {1: 50, 2: 40, 3: 30})
    assert (a.in_common, a.with_others, b.with_others) == (2, -5, 5)
    assert a.placing == 40
    assert a.agreement == pytest.approx(1)
    assert b.agreement is None  # two contestants always agree


@pytest.mark.parametrize(
    ("shift", "begins"),
    [
        (Shift(-3.2, 0.5, -4.2, -2.2, 40), "Scores about 3.2 points lower than the others on the same contestants"),
        (Shift(1.0, 0.2, 0.6, 1.4, 40), "Scores about 1.0 point higher"),
        (Shift(0.1, 0.4, -0.7, 0.9, 40), "As the others: a shift, if any, is below 0.9 points"),
        (Shift(0.1, 2.0, -3.9, 4.1, 40), "No shift shows, but it may be anything from −3.9 to +4.1 points"),
    ],
)
def test_the_words(shift, begins):
    from dataclasses import replace

    (one,) = figures([Heard("A", 1, 40)])
    words = verdict(replace(one, shift=shift, in_common=9, even=False))
    assert words.startswith(begins)
    assert ("disadvantage" in words) == (shift.high < 0)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 8, 12, 30, 100, 1000])
def test_students_t(freedom):
    assert t_quantile(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), rel=4e-3)
