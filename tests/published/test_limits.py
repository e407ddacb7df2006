"""Every published limit on a key, and the arithmetic that follows from them."""

from __future__ import annotations

from itertools import product

import pytest

from scoring.core.placing import grid, limits, score

COLORADO = "Colorado State"  # fact sheet 1.619, Colorado State University Extension
NEBRASKA = "Nebraska"  # NebGuide G2092, University of Nebraska-Lincoln Extension, 2011
FLORIDA = "Florida"  # 4H334, UF/IFAS Extension
MARYLAND = "Maryland"  # Scoring of Contests, Maryland Cooperative Extension

KEYS = list(product(range(1, 16), repeat=3))  # every published scale of cuts starts at 1


def messages(cuts: tuple[int, int, int]) -> str:
    return "; ".join(limit.message for limit in limits(cuts))


def goes_below_zero(cuts: tuple[int, int, int]) -> bool:
    return min(points for _, points in grid("1234", cuts)) < 0


@pytest.mark.parametrize(
    ("cuts", "message", "sources"),
    [
        ((6, 4, 6), "the cuts add up to 16, more than 15", (COLORADO, NEBRASKA, FLORIDA, MARYLAND)),
        ((9, 1, 1), "the top cut is 9, more than 8", (NEBRASKA,)),
        ((1, 9, 1), "the middle cut is 9, more than 8", (NEBRASKA,)),
        ((1, 1, 9), "the bottom cut is 9, more than 8", (NEBRASKA,)),
        # Missouri poultry (1998-2000 draft) allows up to 10 a pair; Nebraska's limit warns of it and forbids nothing.
        ((2, 2, 10), "the bottom cut is 10, more than 8", (NEBRASKA,)),
        # Colorado State and Maryland: the middle cut at most 5 when the cuts total 15, at most 8 when they total 14.
        ((5, 6, 4), "the full reversal loses 51 of 50", (COLORADO, MARYLAND)),
        ((3, 9, 2), "the full reversal loses 51 of 50", (COLORADO, MARYLAND)),
    ],
)
def test_a_key_over_a_published_limit_is_warned_of_with_its_sources(cuts, message, sources) -> None:
    found = [limit for limit in limits(cuts) if message in limit.message]
    assert len(found) == 1
    for source in sources:
        assert source in found[0].source


@pytest.mark.parametrize(
    "cuts",
    [
        (5, 5, 5),  # Colorado State, Maryland: total 15 with a middle cut of 5
        (3, 8, 3),  # Colorado State, Maryland: total 14 with a middle cut of 8
        (8, 1, 1),  # Nebraska: a cut of 8
        (2, 8, 2),  # Maryland's own worked example
        (2, 5, 3),  # Nebraska's own worked example
        (2, 3, 4),  # the Texas lesson plan's worked example
        (1, 1, 1),
    ],
)
def test_a_key_at_the_published_limits_is_not_warned_of(cuts) -> None:
    assert limits(cuts) == ()


@pytest.mark.parametrize("total", [15, 14])
def test_the_middle_cut_limits_of_colorado_and_maryland_are_where_scores_turn_negative(total: int) -> None:
    # Colorado State 1.619 and Maryland: at most 5 when the cuts total 15, at most 8 when they total 14.
    most = {15: 5, 14: 8}[total]
    for cuts in (key for key in KEYS if sum(key) == total):
        assert goes_below_zero(cuts) == (cuts[1] > most)
        assert ("below zero" in messages(cuts)) == (cuts[1] > most)


def test_a_total_of_13_allows_a_middle_cut_of_11() -> None:
    # Arithmetic from the pair rule: 3 x 13 + 11 = 50. The two published limits leave only such keys uncovered.
    assert not goes_below_zero((1, 11, 1))
    assert [key for key in KEYS if sum(key) <= 13 and goes_below_zero(key)] == []
    assert goes_below_zero((0, 12, 1))


def test_no_placing_scores_below_zero_exactly_when_three_totals_and_the_middle_stay_within_50() -> None:
    # Arithmetic from the pair rule: the full reversal is the largest loss, 3T + b.
    for cuts in KEYS:
        assert goes_below_zero(cuts) == (3 * sum(cuts) + cuts[1] > 50)
        assert ("below zero" in messages(cuts)) == goes_below_zero(cuts)


def test_21_keys_within_nebraskas_limits_still_go_below_zero_by_3_at_most() -> None:
    # Nebraska G2092: total at most 15, no cut above 8. That these do not suffice is arithmetic from the pair rule.
    within = [key for key in product(range(1, 9), repeat=3) if sum(key) <= 15]
    below = [key for key in within if goes_below_zero(key)]
    assert len(below) == 21
    assert min(points for key in below for _, points in grid("1234", key)) == -3
    assert score("1234", (3, 8, 4), "4321") == -3
    for key in below:
        assert [limit.message.split(":")[0] for limit in limits(key)] == ["some placing would score below zero"]


def test_marylands_negative_example_loses_54_in_the_full_reversal() -> None:
    # Maryland Cooperative Extension, "Scoring of Contests": official 1234 with 3-9-3; the score itself is arithmetic.
    assert score("1234", (3, 9, 3), "4321") == -4


def test_a_cut_of_zero_is_scored_although_no_published_scale_has_one() -> None:
    # No rule that allows or forbids a cut of 0 was found; every published scale starts at 1.
    assert score("1234", (0, 5, 2), "2134") == 50
    assert limits((0, 5, 2)) == ()
