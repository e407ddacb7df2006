"""The shrunken correction of the mean, beside standardising."""

import numpy as np
import pytest

from reasons.fairness import Heard, corrections, shifts
from tests.reasons.fairness.simulated import contest


def test_what_is_known_well_is_taken_off_nearly_whole_and_halved_between_two_rooms():
    heard = contest(np.random.default_rng(5), people=400, classes=1, rooms=1, panel=2, noise=0.5, shift=4.0)
    added = corrections(heard)
    assert added["1A1"] == pytest.approx(-shifts(heard)["1A1"].points / 2, rel=0.01)
    assert added["1A1"] == pytest.approx(-added["1A2"])


def test_the_worked_example():
    """Two officials of the same eight contestants, 3 points apart, with a variance of 0.25 in half of that."""
    wobble = np.array([1, -1] * 4) * np.sqrt(7 / 4)
    heard = [
        Heard(by, who, 1, 40 + who + way * (1.5 + wobble[who])) for who in range(8) for by, way in (("A", 1), ("B", -1))
    ]
    shift = shifts(heard)["A"]
    assert shift.points == pytest.approx(3)
    assert (shift.error / 2) ** 2 == pytest.approx(0.25)
    assert corrections(heard) == pytest.approx({"A": -4 / 3, "B": 4 / 3})


def test_what_chance_explains_is_left_alone():
    heard = [Heard("AB"[(who + c) % 2], who, c, 40 + (who * 7 + c * 5) % 11) for who in range(20) for c in (1, 2, 3, 4)]
    before = [Heard(one.by, one.number, one.class_number, one.points) for one in heard]
    assert corrections(heard).keys() == {"A", "B"}
    assert all(abs(points) < 1 for points in corrections(heard).values())
    assert heard == before


@pytest.mark.parametrize(
    "heard",
    [
        [Heard("A", 1, 1, 40), Heard("B", 1, 1, 30)],
        [Heard("A", who, 1, 40 + who) for who in range(9)] + [Heard("B", who, 2, 30) for who in range(9)],
    ],
)
def test_nothing_is_corrected_where_nothing_can_be_told(heard):
    assert corrections(heard) == {"A": 0, "B": 0}


def test_a_division_of_good_contestants_is_no_mild_official():
    """A hears the better half on class 1 and B the others; on class 2 both hear some of each."""
    random = np.random.default_rng(11)
    heard = [
        Heard(by, who, c, (45 if who < 30 else 35) + random.normal(0, 2))
        for who in range(60)
        for c, by in ((1, "A" if who < 30 else "B"), (2, "C" if who % 2 else "D"), (3, "A" if who % 4 < 2 else "B"))
    ]
    assert all(abs(points) < 1 for points in corrections(heard).values())
