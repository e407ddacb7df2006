"""What a group can learn from a class: its pairs, and what one switch would have changed."""

from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.core.placing import score
from scoring.core.practice import best_switch, pair_splits, pair_table, set_points, switches, with_the_official

OFFICIAL, CUTS = "3124", (3, 5, 2)

ANIMALS = st.sampled_from(["123", "1234", "ABXY", "12345", "ABCDEFGH"])


@st.composite
def keys_and_placings(draw):
    animals = draw(ANIMALS)
    official = "".join(draw(st.permutations(animals)))
    cuts = tuple(draw(st.lists(st.integers(0, 9), min_size=len(animals) - 1, max_size=len(animals) - 1)))
    placings = ["".join(order) for order in draw(st.lists(st.permutations(animals), min_size=1, max_size=6))]
    return animals, official, cuts, placings


class TestSwitches:
    def test_each_neighbouring_pair_is_switched_from_the_top_down(self):
        # By hand: 1324 has 3 and 1 the other way round, so 47; 3-1-2-4 is 50, 1-2-3-4 loses 3 + 8, 1-3-4-2 loses 3 + 2.
        made = [(one.above, one.below, one.placing, one.score, one.gained) for one in switches(OFFICIAL, CUTS, "1324")]
        assert made == [("1", "3", "3124", 50, 3), ("3", "2", "1234", 39, -8), ("2", "4", "1342", 45, -2)]

    def test_the_best_is_the_one_that_gains_the_most(self):
        assert best_switch(OFFICIAL, CUTS, "1342").placing == "3142"
        assert best_switch(OFFICIAL, CUTS, "4213").placing == "4123"

    @pytest.mark.parametrize("placing", [OFFICIAL, "1324"])
    def test_none_is_best_where_none_gains(self, placing):
        assert best_switch(OFFICIAL, (0, 5, 2), placing) is None

    @given(keys_and_placings())
    def test_a_switch_gains_or_costs_the_cuts_between_its_two_animals(self, drawn):
        animals, official, cuts, placings = drawn
        for placing in placings:
            for one in switches(official, cuts, placing):
                first, second = sorted((official.index(one.above), official.index(one.below)))
                assert abs(one.gained) == sum(cuts[first:second])
                assert one.gained == 0 or (one.gained > 0) == (official.index(one.below) < official.index(one.above))
                assert one.score == score(official, cuts, one.placing, animals=animals)

    @pytest.mark.parametrize(("official", "placing"), [("3124", "312"), ("3125", "31245"), ("312", "3124")])
    def test_what_is_no_placing_of_these_animals_is_refused(self, official, placing):
        with pytest.raises(ValueError, match=r"placing|cuts"):
            switches(official, CUTS, placing)


class TestPairs:
    def test_a_group_splits_on_each_pair(self):
        made = {
            (one.first, one.second): (one.first_above, one.second_above)
            for one in pair_splits("1234", ["3124"] * 2 + ["4213"])
        }
        assert made == {
            ("1", "2"): (2, 1),
            ("1", "3"): (1, 2),
            ("1", "4"): (2, 1),
            ("2", "3"): (1, 2),
            ("2", "4"): (2, 1),
            ("3", "4"): (2, 1),
        }

    def test_nobody_has_placed_anything_yet(self):
        assert {(one.first_above, one.second_above) for one in pair_splits("1234", [])} == {(0, 0)}
        assert with_the_official(OFFICIAL, []) == (0, 0, 0)

    @given(keys_and_placings())
    def test_what_kept_a_pair_is_counted_as_the_splits_count_it(self, drawn):
        animals, official, _cuts, placings = drawn
        above = {}
        for one in pair_splits(animals, placings):
            assert one.first_above + one.second_above == len(placings)
            above[one.first, one.second] = one.first_above
            above[one.second, one.first] = one.second_above
        assert len(above) == 2 * len(list(combinations(animals, 2)))
        assert with_the_official(official, placings) == tuple(map(above.get, pairwise(official)))


@given(keys_and_placings())
def test_the_table_of_pairs_says_what_each_pair_does(drawn):
    animals, _official, _cuts, placings = drawn
    table = pair_table(animals, placings)
    labels = [label for label, _ in table]
    assert labels == sorted(animals)
    counts = {(upper, lower): row[at] for upper, row in table for at, lower in enumerate(labels)}
    assert all(counts[label, label] is None for label in labels)
    for split in pair_splits(animals, placings):
        assert counts[split.first, split.second] == split.first_above
        assert counts[split.second, split.first] == split.second_above


@pytest.mark.parametrize(
    ("marks", "weights", "points"),
    [
        ((8, 7, 9, 8), (4, 2, 2, 2), 40),
        ((10, 10, 10, 10), (1, 7, 0, 3), 50),
        ((0, 10, 0, 0), (4, 2, 2, 2), 10),
        ((8, 7, 0, 0), (1, 2, 0, 0), Fraction(110, 3)),
    ],
)
def test_a_set_is_weighed_to_fifty_points(marks, weights, points):
    assert set_points(marks, weights) == points


def test_something_of_a_set_must_count():
    with pytest.raises(ValueError, match="at least one"):
        set_points((8, 7, 9, 8), (0, 0, 0, 0))
