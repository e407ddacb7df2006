"""Shifts, against least squares on the whole design and in simulated contests with a known shift."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from reasons.fairness import Heard, Shift, Unknown, shifts
from reasons.fairness.student import t_quantile
from tests.reasons.fairness.simulated import contest, moving

SCORES = st.lists(
    st.builds(
        Heard,
        st.sampled_from("ABCD"),
        st.integers(1, 9),
        st.integers(1, 3),
        st.integers(0, 100).map(lambda half: half / 2),
    ),
    min_size=1,
    max_size=60,
    unique_by=lambda one: one[:3],
)


def whole_design(heard):
    """A column for each contestant, class and official, and what each official is compared with, by pseudo-inverse."""
    names = {
        "by": sorted({one.by for one in heard}),
        "number": sorted({one.number for one in heard}),
        "class_number": sorted({one.class_number for one in heard}),
    }
    columns = [(field, name) for field, some in names.items() for name in some]
    design = np.array([[float(getattr(one, field) == name) for field, name in columns] for one in heard])
    return design, np.array([one.points for one in heard]), names["by"]


def by_least_squares(heard):
    """By official: points and error of the comparison with those others of the same classes who can be compared, each
    weighing as many sets as they heard there; None where there is none. And the degrees of freedom."""
    design, points, officials = whole_design(heard)
    inverse = np.linalg.pinv(design.T @ design, rcond=1e-10)
    solution = inverse @ design.T @ points
    freedom = len(heard) - np.linalg.matrix_rank(design)
    variance = ((points - design @ solution) ** 2).sum() / freedom if freedom else 0
    seen_by = inverse @ design.T @ design

    def can_be_told(contrast):
        return np.allclose(contrast @ seen_by, contrast, atol=1e-7)

    def unit(by):
        return np.eye(len(design[0]))[officials.index(by)]

    sets = {(by, c): sum(one.by == by and one.class_number == c for one in heard) for by in officials for c in range(9)}
    found = {}
    for by in officials:
        weights = np.zeros(len(design[0]))
        peers = [other for other in officials if other != by and can_be_told(unit(by) - unit(other))]
        for c in range(9):
            every = sum(sets[other, c] for other in peers)
            for other in peers if every else ():
                weights += sets[by, c] * sets[other, c] / every * unit(other)
        if not weights.any():
            found[by] = None
            continue
        contrast = unit(by) - weights / weights.sum()
        found[by] = contrast @ solution, np.sqrt(variance * (contrast @ inverse @ contrast))
    return found, freedom


def agrees_with_least_squares(heard):
    expected, freedom = by_least_squares(heard)
    for by, shift in shifts(heard).items():
        if expected[by] is None:
            assert shift in (Unknown.ALONE, Unknown.APART)
        elif freedom < 3:
            assert shift is Unknown.TOO_FEW
        else:
            points, error = expected[by]
            assert shift.freedom == freedom
            assert shift.points == pytest.approx(points, abs=1e-6)
            assert shift.error == pytest.approx(error, abs=1e-5)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("people", [5, 12, 30])
def test_shifts_are_those_of_least_squares_on_the_whole_design(seed, people):
    random = np.random.default_rng(seed)
    agrees_with_least_squares(contest(random, people=people, classes=3, shift=3))
    agrees_with_least_squares(moving(random, people=people, shift=3))
    agrees_with_least_squares(contest(random, people=people, classes=2, rooms=3, panel=2))


@given(SCORES)
@settings(deadline=None, max_examples=60)
def test_of_any_scores_too_and_what_cannot_be_told_is_not(heard):
    agrees_with_least_squares(heard)


@given(SCORES, st.integers(-10, 10))
@settings(deadline=None, max_examples=60)
def test_a_shift_moves_with_the_scores(heard, more):
    moved = [one._replace(points=one.points + more) if one.by == "A" else one for one in heard]
    before, after = shifts(heard), shifts(moved)
    for by, shift in before.items():
        if isinstance(shift, Unknown):
            assert after[by] is shift
        elif by == "A":
            assert after[by].points == pytest.approx(shift.points + more, abs=1e-7)
            assert after[by].error == pytest.approx(shift.error, abs=1e-5)


def test_the_worked_example():
    pairs = {101: (40, 44), 102: (35, 37), 103: (41, 44), 104: (38, 41)}
    found = shifts([Heard(by, who, 1, pair[by == "B"]) for who, pair in pairs.items() for by in "AB"])
    assert found["A"].points == pytest.approx(-3)
    assert found["B"].points == pytest.approx(3)
    assert found["A"].error == pytest.approx(np.sqrt(1 / 6))
    assert found["A"].freedom == 3
    assert found["A"].high - found["A"].points == pytest.approx(1.299, abs=1e-3)


def test_two_degrees_of_freedom_say_nothing():
    pairs = {101: (40, 44), 102: (35, 37), 103: (41, 44)}
    found = shifts([Heard(by, who, 1, pair[by == "B"]) for who, pair in pairs.items() for by in "AB"])
    assert set(found.values()) == {Unknown.TOO_FEW}


def test_an_easy_class_is_no_mild_official():
    """Class 2 is worth 6 points more to everybody, and only there can its officials be met."""
    random = np.random.default_rng(2)
    heard = [one._replace(points=one.points + 6 * (one.class_number == 2)) for one in contest(random, classes=2)]
    assert not any(shift.is_seen for shift in shifts(heard).values())
    by_one_each = [one for one in heard if one.by in ("1A", "2A")]
    assert set(shifts(by_one_each).values()) == {Unknown.ALONE}


def test_who_heard_other_contestants_only_cannot_be_compared():
    heard = [Heard("A" if who < 5 else "B", who, c, 40 + who % 3 + c) for who in range(10) for c in (1, 2)]
    assert shifts(heard) == {"A": Unknown.APART, "B": Unknown.APART}


def test_all_intervals_together_hold_95_times_in_100():
    rounds, random, held = 400, np.random.default_rng(20261129), 0
    for _ in range(rounds):
        found = shifts(contest(random, people=40, shift=-2.0))
        held += all(shift.low <= {"1A": -2, "1B": 2}.get(by, 0) <= shift.high for by, shift in found.items())
    low, high = stats.binom.ppf([0.001, 0.999], rounds, 0.95)
    assert low <= held <= high


def test_three_points_are_seen_in_a_large_contest_and_clean_ones_are_left_alone():
    """Two rooms a class: by a model without classes 95 such clean contests of 100 would be told to act."""
    random = np.random.default_rng(7)
    assert all(shifts(contest(random, shift=3.0))["1A"].is_seen for _ in range(40))
    told = sum(any(shift.is_seen for shift in shifts(contest(random)).values()) for _ in range(60))
    assert told <= stats.binom.ppf(0.999, 60, 0.05)


def test_a_comparison_asked_once_is_as_wide_as_students_t():
    (two, _other) = shifts(contest(np.random.default_rng(3), classes=1, rooms=1, panel=2, people=9)).values()
    assert isinstance(two, Shift)
    assert two.high - two.points == pytest.approx(stats.t.ppf(0.975, two.freedom) * two.error)


def test_several_are_as_wide_as_bonferroni_asks():
    for shift in shifts(contest(np.random.default_rng(3), classes=3, people=30)).values():
        assert shift.high - shift.points == pytest.approx(stats.t.ppf(1 - 0.025 / 3, shift.freedom) * shift.error)


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 8, 13, 30, 101, 1000])
@pytest.mark.parametrize("inside", [0.5, 0.95, 0.999])
def test_students_t(freedom, inside):
    assert t_quantile(freedom, inside) == pytest.approx(stats.t.ppf((1 + inside) / 2, freedom), rel=1e-8)
