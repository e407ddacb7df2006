"""Laws of the grid math that hold for every key, and what impossible input is told."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scoring.core.placing import PLACINGS, grid, is_placing, limits, lost_pairs, score
from tests.strategies import cuts, placings

perfects = st.integers(1, 200)


@given(placings, cuts, perfects)
def test_the_right_order_scores_perfect(official, key, perfect) -> None:
    assert score(official, key, official, perfect) == perfect
    assert lost_pairs(official, key, official) == ()


@given(placings, cuts, st.sampled_from((0, 1, 2)))
def test_swapping_two_neighbours_costs_exactly_their_cut(official, key, place) -> None:
    swapped = official[:place] + official[place + 1] + official[place] + official[place + 2 :]
    assert score(official, key, swapped) == 50 - key[place]


@given(placings, cuts, st.sampled_from((0, 1, 2)), st.integers(0, 5), placings)
def test_a_larger_cut_never_raises_a_score(official, key, place, more, placing) -> None:
    larger = list(key)
    larger[place] += more
    assert score(official, larger, placing) <= score(official, key, placing)


@given(placings, cuts)
def test_the_full_reversal_costs_three_times_the_total_and_the_middle_cut(official, key) -> None:
    assert score(official, key, official[::-1]) == 50 - (3 * sum(key) + key[1])
    assert min(points for _, points in grid(official, key)) == score(official, key, official[::-1])


@given(placings, cuts, placings, st.permutations("1234"))
def test_relabelling_the_animals_changes_nothing(official, key, placing, labels) -> None:
    relabelled = str.maketrans("1234", "".join(labels))
    assert score(official.translate(relabelled), key, placing.translate(relabelled)) == score(official, key, placing)


@given(placings, cuts, placings)
def test_reading_everything_from_the_bottom_changes_nothing(official, key, placing) -> None:
    assert score(official[::-1], key[::-1], placing[::-1]) == score(official, key, placing)


@given(placings, cuts, perfects)
def test_the_grid_has_24_placings_with_the_official_one_first_and_the_best_on_top(official, key, perfect) -> None:
    rows = grid(official, key, perfect)
    assert sorted(placing for placing, _ in rows) == sorted(PLACINGS)
    assert rows[0] == (official, perfect)
    points = [points for _, points in rows]
    assert points == sorted(points, reverse=True)
    rest = rows[1:]
    assert list(rest) == sorted(rest, key=lambda row: (-row[1], row[0]))


def test_there_are_24_placings() -> None:
    # Colorado State 1.619, Nebraska G2092 and Maryland all count 24.
    assert len(set(PLACINGS)) == 24
    assert all(sorted(placing) == ["1", "2", "3", "4"] and is_placing(placing) for placing in PLACINGS)


@given(cuts, perfects)
def test_the_warning_of_scores_below_zero_comes_exactly_when_there_are_any(key, perfect) -> None:
    warned = any("below zero" in limit.message for limit in limits(key, perfect))
    assert warned == any(points < 0 for _, points in grid("3124", key, perfect))


@given(placings, cuts, placings)
def test_the_lost_pairs_add_up_to_the_loss_and_stand_in_official_order(official, key, placing) -> None:
    pairs = lost_pairs(official, key, placing)
    assert sum(pair.points for pair in pairs) == 50 - score(official, key, placing)
    places = [(official.index(pair.above), official.index(pair.below)) for pair in pairs]
    assert places == sorted(set(places))
    assert all(above < below for above, below in places)


def test_a_caller_cannot_change_a_grid_that_others_see() -> None:
    assert isinstance(grid("3124", [3, 5, 2]), tuple)
    assert grid("3124", [3, 5, 2]) == grid("3124", (3, 5, 2))


GOOD = [3, 5, 2]
IMPOSSIBLE = [
    (lambda: score("3125", GOOD, "1234"), r"official placing: '3125' names '5'"),
    (lambda: score("3312", GOOD, "1234"), r"official placing: '3312' places animal 3 more than once"),
    (lambda: score("312", GOOD, "1234"), r"official placing: '312' has 3 characters"),
    (lambda: score("", GOOD, "1234"), r"official placing: '' has 0 characters"),
    (lambda: score("3124", GOOD, "3125"), r"placing: '3125' names '5'"),
    (lambda: score("3124", GOOD, "3312"), r"placing: '3312' places animal 3 more than once"),
    (lambda: score("3124", GOOD, "312"), r"placing: '312' has 3 characters"),
    (lambda: score("3124", GOOD, "31244"), r"placing: '31244' has 5 characters"),
    (lambda: score("3124", GOOD, ""), r"placing: '' has 0 characters"),
    (lambda: score("3124", GOOD, "312O"), r"placing: '312O' names 'O'"),
    (lambda: score("3124", GOOD, "３124"), r"placing: '３124' names '３'"),
    (lambda: score("3124", [3, 5, 2, 1], "1234"), r"cuts: there are three cuts .* not 4"),
    (lambda: score("3124", [3, 5], "1234"), r"cuts: there are three cuts .* not 2"),
    (lambda: score("3124", [], "1234"), r"cuts: there are three cuts .* not 0"),
    (lambda: score("3124", [3, -5, 2], "1234"), r"cuts: the middle cut is -5"),
    (lambda: score("3124", [3, 5, 2.0], "1234"), r"cuts: the bottom cut is 2\.0"),
    (lambda: score("3124", [True, 5, 2], "1234"), r"cuts: the top cut is True"),
    (lambda: score("3124", ["3", 5, 2], "1234"), r"cuts: the top cut is '3'"),
    (lambda: score("3124", GOOD, "1234", 0), r"perfect score: 0"),
    (lambda: score("3124", GOOD, "1234", -50), r"perfect score: -50"),
    (lambda: score("3124", GOOD, "1234", 50.0), r"perfect score: 50\.0"),
    (lambda: score("3124", GOOD, "1234", True), r"perfect score: True"),
    (lambda: grid("3125", GOOD), r"official placing: '3125' names '5'"),
    (lambda: grid("3124", [3, 5]), r"cuts: there are three cuts .* not 2"),
    (lambda: grid("3124", GOOD, 0), r"perfect score: 0"),
    (lambda: grid("3124", [1.0, 5, 2]), r"cuts: the top cut is 1\.0"),
    (lambda: lost_pairs("3124", GOOD, "44"), r"placing: '44' has 2 characters"),
    (lambda: lost_pairs("44", GOOD, "3124"), r"official placing: '44' has 2 characters"),
    (lambda: limits([3, 5]), r"cuts: there are three cuts .* not 2"),
    (lambda: limits([3, 5, -1]), r"cuts: the bottom cut is -1"),
    (lambda: limits(GOOD, 0), r"perfect score: 0"),
]


@pytest.mark.parametrize(("call", "reason"), IMPOSSIBLE)
def test_impossible_input_is_refused_with_the_reason(call: Callable[[], object], reason: str) -> None:
    with pytest.raises(ValueError, match=f"^{reason}"):
        call()
